"""The words: figures, findings, outcomes, the Result, blocks of a section, passes and what they see of a spec."""
