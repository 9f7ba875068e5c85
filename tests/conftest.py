"""How many random examples a run tries: the suite's share by default, many more on demand.

pytest                                             the suite
pytest tests/read --hypothesis-profile=long        25 times as many (the fuzzing of the reader: 50,000 a test)
"""

from __future__ import annotations

from hypothesis import HealthCheck, settings

# No deadline: the machines that run this are shared, and a slow moment is no fault of the code.
QUIET = (HealthCheck.too_slow, HealthCheck.filter_too_much, HealthCheck.data_too_large)
settings.register_profile("suite", max_examples=100, deadline=None, suppress_health_check=QUIET)
settings.register_profile("long", max_examples=2500, deadline=None, suppress_health_check=QUIET)
settings.load_profile("suite")
