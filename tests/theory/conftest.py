"""Drawn examples are the same in every run; SCALEWRIGHT_EXAMPLES=1 in the environment draws fresh ones."""

import os

from hypothesis import settings

settings.register_profile("steady", deadline=None, derandomize="SCALEWRIGHT_EXAMPLES" not in os.environ)
settings.load_profile("steady")
