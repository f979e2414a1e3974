"""Settings for all tests: nothing here is timed, so a busy machine fails no test."""

from __future__ import annotations

from hypothesis import HealthCheck, settings

settings.register_profile("daybefore", deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("daybefore")
