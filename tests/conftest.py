"""Settings that all tests share."""

from __future__ import annotations

import os

from hypothesis import settings

# A fixed choice of examples says of a change whether it broke something; new ones are for the desk.
settings.register_profile("heatersel", deadline=None, derandomize="CI" in os.environ)
settings.load_profile("heatersel")
