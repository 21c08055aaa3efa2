"""What has grown old since it was measured or seen."""

from __future__ import annotations

from datetime import date

from provand.case.case import Case
from provand.finding import Finding, find

MASS_LASTS_DAYS = 92
TEST_LASTS_DAYS = 730
FORECAST_LASTS_DAYS = 3
FORECAST_SEES_DAYS = 7
"""Ours: a body mass is asked again after three months, a sweat test after two years, a forecast after
three days; and a forecast made more than a week before the race is a guess."""


def ageing(case: Case, as_of: date) -> list[Finding]:
    """Return a note for each input that should be asked again on the day `as_of`."""
    found = []
    mass_age = (as_of - case.athlete.body_mass_on).days
    if mass_age > MASS_LASTS_DAYS:
        found.append(find("athlete.old_mass", "athlete.body_mass", days=mass_age, limit=MASS_LASTS_DAYS))
    for at, test in enumerate(case.athlete.sweat_tests, 1):
        test_age = (as_of - test.on).days
        if test_age > TEST_LASTS_DAYS:
            about = f"athlete.sweat_tests[{at}].on"
            found.append(find("athlete.old_test", about, days=test_age, limit=TEST_LASTS_DAYS))
    seen_on = case.weather.seen_on
    ahead = (case.race.gun.date() - seen_on).days
    if ahead > FORECAST_SEES_DAYS:
        found.append(find("weather.early", "weather.seen_on", days=ahead, limit=FORECAST_SEES_DAYS))
    age = (as_of - seen_on).days
    if age > FORECAST_LASTS_DAYS:
        found.append(find("weather.old", "weather.seen_on", days=age, limit=FORECAST_LASTS_DAYS))
    return found
