"""Settings that all tests share."""

from __future__ import annotations

import sys
from pathlib import Path

from hypothesis import settings

sys.path.insert(0, str(Path(__file__).parent))  # so that `from strategies import jobs` works

settings.register_profile("heatersel", deadline=None)
settings.load_profile("heatersel")
