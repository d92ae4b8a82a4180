"""Air: standard pressure by height, humidity, and the four properties a core needs.

standard_pressure     pressure of the standard atmosphere at a geopotential height
pressure_at_altitude  the same at a height on the map
density_at_altitude   dry air there
humidity_ratio        kilograms of vapour per kilogram of dry air
density, specific_heat, viscosity, conductivity  properties of air near one atmosphere
"""

from shroudwright.bench.compiled import inlined
from shroudwright.bench.errors import OutOfRange
from shroudwright.bench.registry import offer
from shroudwright.materials.water import vapour_pressure

_R_DRY = 287.055  # J/kg/K
_MASS_RATIO = 0.621945  # of vapour to dry air
_CP_VAPOUR = 1885.0  # J/kg/K, mean of steam between 280 and 380 K
_PER_300_K = 1.0 / 300.0
_COLDEST, _HOTTEST = 220.0, 340.0  # K, of the humidity asked for
_THINNEST, _DENSEST = 50e3, 115e3  # Pa


@offer
def standard_pressure(geopotential_height: float) -> float:
    """Pressure of the standard atmosphere at a geopotential height.

    P = 101325 (1 - 0.0065 H / 288.15)^5.25588

    Parameters
    ----------
    geopotential_height : float
        Height H as the standard tabulates it, [m]

    Returns
    -------
    pressure : float
        Absolute pressure, [Pa]

    Notes
    -----
    Limits: -1000 to 11000 m; refused outside. A standard day; weather moves it by about 3 %.
    Accuracy: exact by definition.

    References
    ----------
    ISO 2533:1975, lowest layer (the same relation as the U.S. Standard Atmosphere, 1976); from memory,
    checked against two independent codings.
    """
    if not -1000.0 <= geopotential_height <= 11000.0:
        raise OutOfRange("height", geopotential_height, -1000.0, 11000.0, "m")
    return float(101325.0 * (1.0 - 0.0065 * geopotential_height / 288.15) ** 5.25588)


@offer
def pressure_at_altitude(altitude: float) -> float:
    """Pressure of the standard atmosphere at a height on the map.

    H = r z / (r + z), r = 6356766 m, then `standard_pressure`

    Parameters
    ----------
    altitude : float
        Geometric height z above sea level, [m]

    Returns
    -------
    pressure : float
        Absolute pressure, [Pa]

    Notes
    -----
    Limits: as `standard_pressure`.
    Accuracy: exact by definition.

    References
    ----------
    U.S. Standard Atmosphere, 1976; from memory, checked against an independent coding.
    """
    return standard_pressure(6356766.0 * altitude / (6356766.0 + altitude))


@offer
def humidity_ratio(temperature: float, pressure: float, relative_humidity: float) -> float:
    """Water vapour carried by each kilogram of dry air.

    w = 0.621945 x / (1 - x), x = phi f P_w(T) / P, f = 1.00062 + 3.14e-8 P + 5.6e-7 t^2, t = T - 273.15

    Parameters
    ----------
    temperature : float
        Dry-bulb temperature, [K]
    pressure : float
        Absolute pressure, [Pa]
    relative_humidity : float
        Share of saturation, 0 to 1, [-]

    Returns
    -------
    humidity_ratio : float
        Vapour over dry air, by mass, [-]

    Notes
    -----
    Limits: relative humidity 0 to 1, 220 to 340 K, 50 to 115 kPa; refused outside. Below the triple point
    relative humidity is over ice. f, by which air raises the vapour's share, was drawn for 15 to 27 C and
    60 to 110 kPa.
    Accuracy: within 0.05 % of the real-gas model of ASHRAE RP-1485 from 0 to 50 C, 0.2 % from -50 to 60 C,
    0.4 % at 340 K.

    References
    ----------
    P_w by `vapour_pressure`; f of CIPM-2007, Picard et al., Metrologia 45 (2008) 149, read in public codings;
    checked against CoolProp.
    """
    if not 0.0 <= relative_humidity <= 1.0:
        raise OutOfRange("relative humidity", relative_humidity, 0.0, 1.0, "as a share")
    if not _COLDEST <= temperature <= _HOTTEST:
        raise OutOfRange("air temperature", temperature, _COLDEST, _HOTTEST, "K")
    if not _THINNEST <= pressure <= _DENSEST:
        raise OutOfRange("air pressure", pressure, _THINNEST, _DENSEST, "Pa")
    f = 1.00062 + 3.14e-8 * pressure + 5.6e-7 * (temperature - 273.15) ** 2
    x = relative_humidity * f * vapour_pressure(temperature) / pressure
    return _MASS_RATIO * x / (1.0 - x)


@offer
@inlined
def density(pressure: float, temperature: float, humidity_ratio: float) -> float:
    """Density of moist air.

    rho = P (1 + w) / [R T (1 + w / 0.621945)], R = 287.055 J/kg/K

    Parameters
    ----------
    pressure : float
        Absolute pressure, [Pa]
    temperature : float
        Dry-bulb temperature, [K]
    humidity_ratio : float
        Vapour over dry air, by mass, w, [-]

    Returns
    -------
    density : float
        Mass of moist air per volume, [kg/m**3]

    Notes
    -----
    Limits: ideal gas, so near one atmosphere.
    Accuracy: within 0.1 % of the real-gas model at 50 to 110 kPa and 250 to 450 K.

    References
    ----------
    Ideal-gas mixture; ASHRAE Handbook Fundamentals, psychrometrics chapter, from memory.
    """
    R = _R_DRY * (1.0 + humidity_ratio / _MASS_RATIO) / (1.0 + humidity_ratio)
    return pressure / (R * temperature)


@offer
def density_at_altitude(altitude: float, temperature: float) -> float:
    """Density of dry air at a height on the map.

    `density` at `pressure_at_altitude`

    Parameters
    ----------
    altitude : float
        Geometric height above sea level, [m]
    temperature : float
        Of the air, [K]

    Returns
    -------
    density : float
        [kg/m**3]

    Notes
    -----
    Limits: dry air; a day of standard pressure.
    Accuracy: weather moves pressure by 2 to 3 %.

    References
    ----------
    ISO 2533 pressure and the ideal gas law.
    """
    return density(pressure_at_altitude(altitude), temperature, 0.0)


@inlined
def specific_heat(temperature: float, humidity_ratio: float) -> float:
    """Specific heat of moist air, per kilogram of the moist air.

    cp = (1006.36 + 11.036 x + 36.97 x^2 + 1885 w) / (1 + w), x = T / 300 - 1

    Parameters
    ----------
    temperature : float
        Dry-bulb temperature, [K]
    humidity_ratio : float
        Vapour over dry air, by mass, w, [-]

    Returns
    -------
    specific_heat : float
        At constant pressure, [J/kg/K]

    Notes
    -----
    Limits: 230 to 450 K and near one atmosphere; the fit runs on outside.
    Accuracy: within 0.01 % of CoolProp for dry air, 0.1 % up to 40 g/kg.

    References
    ----------
    Fitted here to CoolProp 8.0.0 dry air at 101325 Pa (Lemmon et al., 2000).
    """
    x = temperature * _PER_300_K - 1.0
    dry = 1.0 / (1.0 + humidity_ratio)
    return (1006.358 + (11.0363 + 36.9688 * x) * x + _CP_VAPOUR * humidity_ratio) * dry


@inlined
def viscosity(temperature: float) -> float:
    """Viscosity of dry air.

    Parameters
    ----------
    temperature : float
        Temperature, [K]

    Returns
    -------
    viscosity : float
        Dynamic viscosity, [Pa*s]

    Notes
    -----
    Limits: 230 to 450 K; a cubic in T / 300 - 1 that runs on outside. Humidity is left out (under 1 %).
    Accuracy: within 0.01 % of CoolProp dry air.

    References
    ----------
    Fitted here to CoolProp 8.0.0 dry air at 101325 Pa (Lemmon and Jacobsen, 2004).
    """
    x = temperature * _PER_300_K - 1.0
    return 1.853746e-5 + (1.446286e-5 + (-3.05218e-6 + 9.5781e-7 * x) * x) * x


@inlined
def conductivity(temperature: float) -> float:
    """Heat conductivity of dry air.

    Parameters
    ----------
    temperature : float
        Temperature, [K]

    Returns
    -------
    conductivity : float
        Thermal conductivity, [W/m/K]

    Notes
    -----
    Limits: 230 to 450 K; a cubic in T / 300 - 1 that runs on outside. Humidity is left out (under 1 %).
    Accuracy: within 0.01 % of CoolProp dry air.

    References
    ----------
    Fitted here to CoolProp 8.0.0 dry air at 101325 Pa (Lemmon and Jacobsen, 2004).
    """
    x = temperature * _PER_300_K - 1.0
    return 2.638460e-2 + (2.228819e-2 + (-3.625681e-3 + 1.116354e-3 * x) * x) * x
