"""Property tests try the same cases in every run, so that one commit is either green or not.

Search for new ones with another seed: HYPOTHESIS_PROFILE=search pytest --hypothesis-seed=N.
"""

import os

from hypothesis import settings

settings.register_profile("repeat", derandomize=True)
settings.register_profile("search", print_blob=True)
settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "repeat"))
