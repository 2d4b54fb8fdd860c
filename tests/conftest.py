"""One profile for every property test: a machine that does other work besides makes no failure."""

from hypothesis import HealthCheck, settings

settings.register_profile("shared machine", deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("shared machine")
