"""Light through the year: day length and the daily light sum from the latitude, under shade and lamps."""

import math
from dataclasses import dataclass
from datetime import date, timedelta
from functools import lru_cache

from farmops.core.calendar import MonthDay, day_of_year

SOLAR_CONSTANT = 0.0820  # MJ m⁻² min⁻¹ (FAO-56)
APPARENT_HORIZON = math.radians(-0.8333)  # 34' of refraction and 16' of radius (USNO)
PAR_MOL_PER_MJ = 2.04  # mol of photons in 1 MJ of sun (McCree 1972; Thimijan and Heins 1983, from memory)
USUAL_SUNSHINE = 0.5  # bright hours over hours of day, where nobody measured: half, an assumption
HOUR_MOL = 0.0036  # mol m⁻² h⁻¹ from 1 µmol m⁻² s⁻¹, exactly
DARK_HOURS = 10.0  # below it growth nearly stops: a rule of the trade, not a law


def declination(day_number: int) -> float:
    """Height of the sun over the equator, FAO-56 equation 24. [rad]"""
    return 0.409 * math.sin(2.0 * math.pi * day_number / 365.0 - 1.39)


def inverse_distance(day_number: int) -> float:
    """Inverse relative distance of the earth from the sun, FAO-56 equation 23. [-]"""
    return 1.0 + 0.033 * math.cos(2.0 * math.pi * day_number / 365.0)


def sunset_angle(latitude: float, sun: float, horizon: float = 0.0) -> float:
    """Hour angle of sunset.

    Parameters
    ----------
    latitude, sun : float
        Latitude and declination. [rad]
    horizon : float
        Height of the sun's centre at which it counts as set. [rad]

    Returns
    -------
    float in [0, pi]
        0 where the sun does not rise, pi where it does not set. [rad]
    """
    cosine = (math.sin(horizon) - math.sin(latitude) * math.sin(sun)) / max(math.cos(latitude) * math.cos(sun), 1e-12)
    return math.acos(min(1.0, max(-1.0, cosine)))


def geometric_daylight(latitude: float, day_number: int) -> float:
    """Hours of daylight, FAO-56 equation 34: shorter than what is seen, as it knows no refraction. [h]"""
    return 24.0 / math.pi * sunset_angle(math.radians(latitude), declination(day_number))


def light_above_air(latitude: float, day_number: int) -> float:
    """Sun reaching the top of the air, FAO-56 equation 21.

    Parameters
    ----------
    latitude : float in [-90, 90]
        North positive. [°]
    day_number : int in 1..366

    Returns
    -------
    float, >= 0
        [MJ m⁻² d⁻¹]

    Raises
    ------
    ValueError
        If the latitude is outside [-90, 90].

    References
    ----------
    .. [1] R. G. Allen et al., "Crop evapotranspiration", FAO Irrigation and Drainage Paper 56, Rome, 1998.
    """
    if not -90.0 <= latitude <= 90.0:
        raise ValueError(f"latitude must be from -90 to 90 degrees, got {latitude}")
    place, sun = math.radians(latitude), declination(day_number)
    angle = sunset_angle(place, sun)
    height = angle * math.sin(place) * math.sin(sun) + math.cos(place) * math.cos(sun) * math.sin(angle)
    return max(0.0, 24.0 * 60.0 / math.pi * SOLAR_CONSTANT * inverse_distance(day_number) * height)


def light_at_ground(above_air: float, sunshine: float, daylight: float) -> float:
    """Sun reaching the ground, FAO-56 equation 35 with 0.25 and 0.50.

    Parameters
    ----------
    above_air : float, >= 0
        [MJ m⁻² d⁻¹]
    sunshine : float in [0, daylight]
        Hours of bright sun. [h]
    daylight : float, > 0
        [h]

    Returns
    -------
    float, >= 0
        [MJ m⁻² d⁻¹]
    """
    return (0.25 + 0.50 * sunshine / daylight) * above_air


def photons(megajoules: float) -> float:
    """Daily light for plants from the sun's energy. [mol m⁻² d⁻¹]"""
    return PAR_MOL_PER_MJ * megajoules


@dataclass(frozen=True, slots=True)
class SunTimes:
    """Sunrise and sunset in hours of UTC after midnight of the day; None where there is none that day."""

    rise: float | None
    set: float | None
    day_length: float  # [h]


def sun_times(latitude: float, day: date, longitude: float = 0.0) -> SunTimes:
    """When the upper edge of the sun comes over the level horizon and goes under it.

    Parameters
    ----------
    latitude, longitude : float
        North and east positive. [°]
    day : date
        Day by the clock of that longitude.

    Returns
    -------
    SunTimes
        Within seconds of a full ephemeris up to the polar circles; nothing is raised beyond them.

    Notes
    -----
    Low-precision solar coordinates [1]_, the position taken anew at the moment of rising and of setting.

    References
    ----------
    .. [1] J. Meeus, "Astronomical Algorithms", 2nd ed., ch. 25, 1998 (from memory; held against pvlib).
    """
    noon = 12.0 - longitude / 15.0
    sun, minutes = _sun(day, noon)
    noon -= minutes / 60.0
    sun, _minutes = _sun(day, noon)
    half = math.degrees(sunset_angle(math.radians(latitude), sun, APPARENT_HORIZON)) / 15.0
    if half in {0.0, 12.0}:
        return SunTimes(None, None, 2.0 * half)
    ends = []
    for side in (-1.0, 1.0):
        hour = noon + side * half
        for _round in range(4):
            sun, minutes = _sun(day, hour)
            angle = math.degrees(sunset_angle(math.radians(latitude), sun, APPARENT_HORIZON)) / 15.0
            hour = 12.0 - longitude / 15.0 - minutes / 60.0 + side * angle
        ends.append(hour)
    return SunTimes(ends[0], ends[1], ends[1] - ends[0])


@lru_cache(maxsize=4096)
def day_length(latitude: float, day: date) -> float:
    """Hours from sunrise to sunset as people see them, 0 to 24, for a latitude in degrees, north positive. [h]"""
    return sun_times(latitude, day).day_length


def dark_weeks(latitude: float, winter: int, hours: float = DARK_HOURS) -> tuple[date, date] | None:
    """First and last day of a winter with less daylight than `hours`.

    Parameters
    ----------
    latitude : float
        [°]
    winter : int
        Year in which the winter begins: 2025 is the winter 2025-26 in the north, and mid-2025 in the south.
    hours : float
        [h]

    Returns
    -------
    tuple of date or None
        None where no day is that short.
    """
    start = date(winter, 9, 1) if latitude >= 0 else date(winter, 3, 1)
    days = [start + timedelta(days=number) for number in range(240)]
    dark = [day for day in days if day_length(latitude, day) < hours]
    return (dark[0], dark[-1]) if dark else None


@lru_cache(maxsize=1024)
def usual_light(latitude: float, day_number: int) -> float:
    """Daily light under the sky the year round, for comparing one day with another. [MJ m⁻² d⁻¹]

    Clouds are left out: only the ratio of two days is ever used, and a farm's own table of days says more.
    """
    return light_above_air(latitude, day_number)


def light_of(latitude: float, day: date) -> float:
    """Light of one day, for ratios. [MJ m⁻² d⁻¹]"""
    return usual_light(latitude, day_of_year(day))


Dated = tuple[tuple[MonthDay, float], ...]  # from each day of the year on, until the next one, around the year


@dataclass(frozen=True, slots=True)
class Cover:
    """What is between the sky and the plants of one kind of space, and what burns above them.

    Attributes
    ----------
    shade : tuple of ((month, day), share in [0, 1))
        Of the light outside, what roof and cloth keep out from that day on; empty: nothing. [-]
    lamp_hours : tuple of ((month, day), hours in [0, 24])
        Hours a day that the lamps burn from that day on; empty: none. [h]
    lamp_light : float, >= 0
        Of the lamps, where the leaves are. [µmol m⁻² s⁻¹]
    """

    shade: Dated = ()
    lamp_hours: Dated = ()
    lamp_light: float = 0.0

    def __post_init__(self) -> None:
        if any(not 0.0 <= share < 1.0 for _since, share in self.shade):
            raise ValueError(f"a share kept out must be 0 or more and below 1, got {self.shade}")
        if any(not 0.0 <= hours <= 24.0 for _since, hours in self.lamp_hours):
            raise ValueError(f"lamps burn from 0 to 24 hours a day, got {self.lamp_hours}")
        if not (math.isfinite(self.lamp_light) and self.lamp_light >= 0.0):
            raise ValueError(f"light of lamps must be 0 or more, got {self.lamp_light}")


def on_day(table: Dated, day: date) -> float:
    """What holds on a day of a table by dates: what it says for the latest date up to it; 0 where it says nothing."""
    here = (day.month, day.day)
    begun = [(since, value) for since, value in table if since <= here] or list(table)
    return max(begun)[1] if begun else 0.0


def lamp_sum(light: float, hours: float) -> float:
    """Daily light of lamps.

    Parameters
    ----------
    light : float, >= 0
        [µmol m⁻² s⁻¹]
    hours : float in [0, 24]
        [h d⁻¹]

    Returns
    -------
    float
        [mol m⁻² d⁻¹]
    """
    return light * hours * HOUR_MOL


@lru_cache(maxsize=16384)
def light_under(latitude: float, cover: Cover, day: date) -> float:
    """Light of one day where plants stand: a usual sky's, less what is kept out, and the lamps'.

    Parameters
    ----------
    latitude : float in [-90, 90]
        [°]
    cover : Cover
    day : date

    Returns
    -------
    float, >= 0
        [mol m⁻² d⁻¹]
    """
    outside = photons(light_at_ground(light_of(latitude, day), USUAL_SUNSHINE, 1.0))
    lamps = lamp_sum(cover.lamp_light, on_day(cover.lamp_hours, day))
    return outside * (1.0 - on_day(cover.shade, day)) + lamps


def _sun(day: date, hour: float) -> tuple[float, float]:
    """Declination [rad] and equation of time [min] at an hour of UTC."""
    days = day.toordinal() - date(2000, 1, 1).toordinal() - 0.5 + hour / 24.0
    days += 69.0 / 86400.0  # from clock time to even time, near enough 1990-2040
    century = days / 36525.0
    mean = math.radians((280.46646 + 36000.76983 * century + 0.0003032 * century**2) % 360.0)
    anomaly = math.radians((357.52911 + 35999.05029 * century - 0.0001537 * century**2) % 360.0)
    centre = (
        (1.914602 - 0.004817 * century) * math.sin(anomaly)
        + (0.019993 - 0.000101 * century) * math.sin(2 * anomaly)
        + 0.000289 * math.sin(3 * anomaly)
    )
    node = math.radians(125.04 - 1934.136 * century)
    longitude = mean + math.radians(centre - 0.00569 - 0.00478 * math.sin(node))
    tilt = math.radians(23.43929 - 0.013004 * century + 0.00256 * math.cos(node))
    ascension = math.atan2(math.cos(tilt) * math.sin(longitude), math.cos(longitude))
    equation = mean - math.radians(0.0057183) - ascension
    equation = (equation + math.pi) % (2.0 * math.pi) - math.pi
    return math.asin(math.sin(tilt) * math.sin(longitude)), math.degrees(equation) * 4.0
