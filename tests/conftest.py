"""Property tests try the same cases in every run, so that one commit is either green or not.

Search for new ones with another seed: HYPOTHESIS_PROFILE=search pytest --hypothesis-seed=N.
"""

import os

from hypothesis import HealthCheck, settings

# No clock decides: on a busy machine an example takes as long as it takes.
settings.register_profile("repeat", derandomize=True, deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.register_profile("search", settings.get_profile("repeat"), derandomize=False, print_blob=True)
settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "repeat"))
