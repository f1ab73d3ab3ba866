"""The vocabulary that plugins share: frozen data and typed keys, one module a subject, no behavior.

A key that two plugins read is declared here, so that no plugin imports another.
"""
