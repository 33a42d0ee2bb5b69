"""What an estimate is called, and which cheap measurement would replace it.

Without numpy, so that a report can say it.
"""

from __future__ import annotations

from typing import Final

#: What would narrow the number a container carries: (what to find out, with what), by the names of
#: `capacity`.
NARROWED_BY: Final[dict[str, tuple[str, str]]] = {
    "oxygen_dawn_mg_l": ("the oxygen before the light comes on", "oxygen test"),
    "temperature_c": ("the water's temperature, morning and evening", "thermometer"),
    "ph": ("the pH at dawn", "pH test"),
    "food": ("what one day's food weighs", "kitchen scale, or by counting granules"),
    "film": ("ammonia and nitrite, for a week", "ammonia test and test strip"),
}
#: (in plain words, the instrument) by the name of the estimate.
MEASURED_BY: Final[dict[str, tuple[str, str]]] = {
    "temperature_c": ("temperature", "thermometer"),
    "temperature_max_c": ("warmest hour of the day", "thermometer"),
    "temperature_min_c": ("coldest hour of the day", "thermometer"),
    "temperature_swing_c": ("from the coldest to the warmest hour", "thermometer"),
    "oxygen_mg_l": ("oxygen", "oxygen test"),
    "oxygen_dawn_mg_l": ("oxygen before dawn", "oxygen test"),
    "tan_mg_l": ("total ammonia, as nitrogen", "ammonia test"),
    "tan_peak_mg_l": ("highest total ammonia of late, as nitrogen", "ammonia test"),
    "nh3_mg_l": ("un-ionised ammonia, as nitrogen", "ammonia test with a pH strip"),
    "nh3_peak_mg_l": (
        "highest un-ionised ammonia of late, as nitrogen",
        "ammonia test with a pH strip",
    ),
    "nitrite_mg_l": ("nitrite, as nitrogen", "test strip"),
    "nitrate_mg_l": ("nitrate", "test strip"),
    "gh_dgh": ("hardness", "test strip"),
    "solids_mg_l": ("dissolved solids", "conductivity meter"),
    "solids_rise_percent": ("rise of dissolved solids over the tap", "conductivity meter"),
}
