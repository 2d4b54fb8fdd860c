"""Profiles for every property test. A machine that does other work besides makes no failure; the cases are the same
at every run, so that a change is judged by what it changed. HYPOTHESIS_PROFILE=explore looks for new ones."""

import os

from hypothesis import HealthCheck, settings

_PATIENT = settings(deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.register_profile("same cases", _PATIENT, derandomize=True)
settings.register_profile("explore", _PATIENT)
settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "same cases"))
