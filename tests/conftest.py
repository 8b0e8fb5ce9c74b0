"""Settings that all tests share."""

from __future__ import annotations

from hypothesis import settings

settings.register_profile("heatersel", deadline=None)
settings.load_profile("heatersel")
