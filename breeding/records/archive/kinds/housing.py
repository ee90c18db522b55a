"""Tanks, who was where since when, and their water."""

from django.utils.translation import gettext_lazy as _

from breeding.records.archive.kinds.kind import Kind

KINDS = (
    Kind(
        "housing.WaterSystem",
        "water_systems",
        _("Water that several tanks share."),
        {"name": "What it is called."},
    ),
    Kind(
        "housing.Tank",
        "tanks",
        _("A tank, vat or pool."),
        {
            "name": "What it is called.",
            "kind": "What it is for.",
            "length_mm": "Inner length.",
            "width_mm": "Inner width.",
            "height_mm": "Height of the water.",
            "volume_litres": "Volume of water.",
            "can_divide": "Whether a divider can be closed in it.",
            "stands_in": "The room of the building. Empty: there is only one, or nobody said.",
            "from_left_mm": "From the left wall of its room. Empty: nobody said where it stands.",
            "from_back_mm": "From the back wall of its room.",
            "is_turned": "Whether its length goes from back to front.",
        },
    ),
    Kind(
        "housing.Stay",
        "stays",
        _("Where an animal was, from a day until a day."),
        {
            "since": "The first day.",
            "until": "The day it left. Empty: it is still there.",
        },
    ),
    Kind(
        "housing.Look",
        "looks",
        _("A day on which somebody looked at a tank and saw nothing of note."),
        {"on": "The day."},
    ),
    Kind(
        "housing.WaterTest",
        "water_tests",
        _("What was measured in the water of a tank."),
        {
            "tested_at": "When.",
            "temperature_c": "Temperature.",
            "ph": "pH.",
            "ammonia_mg_l": "Ammonia, counted as the next column says.",
            "ammonia_as": "As what the ammonia is counted.",
            "nitrite_mg_l": "Nitrite, counted as the next column says.",
            "nitrite_as": "As what the nitrite is counted.",
            "nitrate_mg_l": "Nitrate, counted as the next column says.",
            "nitrate_as": "As what the nitrate is counted.",
            "conductivity_us_cm": "Conductivity in µS/cm at 25 °C.",
            "kh_dh": "Carbonate hardness in German degrees.",
        },
    ),
    Kind(
        "housing.WaterRange",
        "water_ranges",
        _("Between which values this program wants its water."),
        {
            "what": "Which quantity, with its unit.",
            "least": "The lowest value. Empty: none.",
            "most": "The highest value. Empty: none.",
        },
    ),
)
