"""Which cheap measurement would replace an estimate. Without numpy, so that a report can say it."""

from __future__ import annotations

from typing import Final

#: The cheap measurement that would replace each estimate.
MEASURED_BY: Final[dict[str, str]] = {
    "temperature_c": "thermometer",
    "temperature_max_c": "thermometer",
    "temperature_min_c": "thermometer",
    "temperature_swing_c": "thermometer",
    "oxygen_mg_l": "oxygen-test",
    "oxygen_dawn_mg_l": "oxygen-test",
    "tan_mg_l": "ammonia-test",
    "tan_peak_mg_l": "ammonia-test",
    "nh3_mg_l": "ammonia-test",
    "nh3_peak_mg_l": "ammonia-test",
    "nitrite_mg_l": "test-strip",
    "nitrate_mg_l": "test-strip",
    "gh_dgh": "test-strip",
    "solids_mg_l": "conductivity-meter",
    "solids_rise_percent": "conductivity-meter",
}
