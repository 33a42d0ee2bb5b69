"""What keepers mean by words for spans of time, shares and warmth, in the program's own units.

Each is an interval, least and most. They are the convention of this program, no source: a word says
no more than that the number is somewhere in there, and what follows from it is said as carefully.
"""

from __future__ import annotations

import math

Words = dict[str, tuple[float, float]]


def _spell(table: Words) -> Words:
    """`a|b: interval` for each spelling on its own."""
    return {word: interval for words, interval in table.items() for word in words.split("|")}


#: Ages in days.
AGES: Words = _spell(
    {
        "just set up|brand new|fresh|just started|today": (0.0, 7.0),
        "new|newly set up|very new|young": (1.0, 35.0),
        "recent|recently|lately": (3.0, 60.0),
        "half grown in|not yet mature|not mature": (7.0, 60.0),
        "cycled": (28.0, 180.0),
        "half a year": (150.0, 215.0),
        "established|mature|settled|running well|grown in|matured": (120.0, 1100.0),
        "long|long running|long standing|old|for long|a long time|for a long time": (300.0, 2500.0),
        "long established|very old|for years": (600.0, 3000.0),
    }
)
#: Days from one water change to the next.
INTERVALS: Words = _spell(
    {
        "never|none|not at all": (180.0, math.inf),
        "hardly ever|almost never|very rarely": (60.0, 365.0),
        "rarely|seldom": (30.0, 180.0),
        "now and then|sometimes|occasionally|irregularly|from time to time": (14.0, 90.0),
        "regularly|regular": (5.0, 21.0),
        "often|frequently|frequent": (1.0, 7.0),
        "very often": (0.5, 3.0),
        "fortnightly|biweekly": (14.0, 14.0),
        "yearly|once a year": (300.0, 430.0),
    }
)
#: Shares in percent.
SHARES: Words = _spell(
    {
        "none|nothing|no": (0.0, 0.0),
        "a little|little|very small|a splash|a cup": (1.0, 10.0),
        "small|a small part|a few|some": (5.0, 25.0),
        "moderate|medium|a part|part": (20.0, 45.0),
        "a quarter|one quarter|quarter": (25.0, 25.0),
        "a third|one third|third": (100.0 / 3.0, 100.0 / 3.0),
        "about a third": (28.0, 39.0),
        "about a quarter": (21.0, 30.0),
        "half|a half|one half": (50.0, 50.0),
        "about half|around half|roughly half": (40.0, 60.0),
        "less than half|under half": (10.0, 50.0),
        "more than half|over half": (50.0, 90.0),
        "two thirds": (200.0 / 3.0, 200.0 / 3.0),
        "three quarters": (75.0, 75.0),
        "large|big|a lot|much|many|a large part|a big part": (50.0, 90.0),
        "most|mostly|the greater part|a majority|the majority": (55.0, 95.0),
        "nearly all|almost all|nearly everything|almost everything|very large": (80.0, 99.0),
        "all|everything|everyone|all of them|whole|complete|the whole": (100.0, 100.0),
    }
)
#: Hours.
HOURS: Words = _spell(
    {
        "at once|immediately|straight away|seconds|within seconds": (0.0, 0.25),
        "minutes|a few minutes|within minutes|some minutes": (0.03, 0.7),
        "within the hour|within an hour": (0.1, 1.0),
        "hours|within hours|some hours": (2.0, 12.0),
        "soon|soon after|shortly|shortly after|quickly": (0.5, 24.0),
        "overnight|one night|a night|in one night|over night": (5.0, 14.0),
        "a day or so": (15.0, 36.0),
        "within a day|the same day|one day|a day": (4.0, 24.0),
        "within days": (24.0, 120.0),
        "never|not at all": (24.0, 240.0),
    }
)
#: Hours of light a day.
DAYLIGHT: Words = _spell(
    {
        "all day|the whole day|daylight": (10.0, 15.0),
        "day and night|always|all the time|round the clock": (22.0, 24.0),
        "long": (11.0, 16.0),
        "short|a few hours": (3.0, 7.0),
        "normal|usual": (6.0, 10.0),
        "none|no light": (0.0, 1.0),
    }
)
#: Degrees Celsius of a room.
ROOMS: Words = _spell(
    {
        "unheated|cold": (4.0, 16.0),
        "cool": (14.0, 19.0),
        "normal|room temperature|comfortable|heated": (18.0, 24.0),
        "warm": (23.0, 28.0),
        "hot|very warm": (27.0, 36.0),
        "very hot": (31.0, 40.0),
    }
)
