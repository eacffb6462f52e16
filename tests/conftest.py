"""Settings of all tests: hypothesis reproduces its examples, and fixed ones come first."""

from hypothesis import HealthCheck, settings

settings.register_profile(
    "steady",
    derandomize=True,
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
)
settings.load_profile("steady")
