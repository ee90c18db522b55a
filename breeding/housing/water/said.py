"""What a test's ammonia and nitrate mean, and the lines by which they are judged, in words."""

from breeding.housing.figures import figure
from breeding.housing.models import WaterTest
from breeding.housing.water.fit import (
    as_ion,
    as_nitrogen,
    harm_of,
    span_of_figures,
    unionised_words,
)
from breeding.housing.water.queries import default_ranges, water_defaults
from breeding.words.language import tell


def ammonia_words(test: WaterTest) -> str:
    """How much of a test's ammonia is the harmful kind; what is missing to tell; "" without any."""
    if test.ammonia_mg_l is None:
        return ""
    if test.temperature_c is None or test.ph is None:
        return tell("Un-ionised ammonia: not known without temperature and pH in the same test.")
    return unionised_words(*_ammonia_of(test), **_ammonia_lines())


def ammonia_harm(test: WaterTest) -> str:
    """The same by a key, "harm", "cautious" or "none"; "unknown" where something is missing."""
    if test.ammonia_mg_l is None or test.temperature_c is None or test.ph is None:
        return "unknown"
    return harm_of(*_ammonia_of(test), **_ammonia_lines())


def _ammonia_of(test: WaterTest) -> tuple[float, float, float]:
    nitrogen = as_nitrogen(float(test.ammonia_mg_l or 0), "ammonia", test.ammonia_as)
    return nitrogen, float(test.temperature_c or 0), float(test.ph or 0)


def _ammonia_lines() -> dict[str, float]:
    lines = water_defaults()["unionised_ammonia"]
    return {name: lines[name] for name in ("cautious_mg_l", "harm_mg_l")}


def ammonia_lines_said() -> dict[str, str]:
    """From where on un-ionised ammonia harms, and the cautious line, each with its source."""
    lines = water_defaults()["unionised_ammonia"]
    return {
        "harm": figure(lines["harm_mg_l"]),
        "harm_source": tell(lines["harm_source"]),
        "cautious": figure(lines["cautious_mg_l"]),
        "cautious_source": tell(lines["cautious_source"]),
    }


def ph_of_rays_said() -> dict[str, str]:
    """By whom a pH is judged while its range is the default, and at which rays have been bred."""
    row = water_defaults()["ph"]
    return {
        "of": "; ".join(
            f"{one['label']} {span_of_figures(one['least'], one['most'])}: {tell(one['source'])}"
            for one in row["by_profile"]
        ),
        "borne": span_of_figures(*row["borne"]),
        "source": tell(row["borne_source"]),
    }


def ph_change_said() -> dict[str, str]:
    """How much a pH may change in a day, with its source."""
    row = water_defaults()["ph"]
    return {"most": figure(row["change_a_day"]), "source": tell(row["change_source"])}


def nitrate_words(test: WaterTest) -> str:
    """What common practice says of a test's nitrate when it is above the aim; else ""."""
    if test.nitrate_mg_l is None:
        return ""
    nitrate = as_ion(float(test.nitrate_mg_l), "nitrate", test.nitrate_as)
    aim, most = water_defaults()["nitrate_aim_mg_l"], default_ranges()["nitrate"].most
    if nitrate <= aim:
        return ""
    return tell(
        "Nitrate {found} mg/L NO3: aim under {aim}, never above {most} (common practice, no "
        "source).",
        found=figure(nitrate, ".0f"),
        aim=figure(aim),
        most=figure(most or 0),
    )
