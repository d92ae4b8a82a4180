"""The one table of guesses, and the bands made from it."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from shroudwright.bench.errors import InputError
from shroudwright.bench.sources import SOURCES
from shroudwright.job import Job, parse_job
from shroudwright.job.fields import place_of, words_of
from shroudwright.job.priors import TIES, Prior, priors, words
from shroudwright.job.quantity import STANDINGS
from shroudwright.job.table import Guess, field_of, guesses, part_of
from tests.jobs import SMALL

ROWS = [guess for rows in guesses().values() for guess in rows]


def filled(text: str = SMALL) -> dict[str, Prior]:
    return priors(parse_job(text.encode(), "x"))


def with_line(section: str, line: str) -> dict[str, Prior]:
    return filled(SMALL.replace("[engine]", f"{section}\n{line}\n\n[engine]", 1))


@pytest.mark.behaviour("every row of the table parses, names its source, and says what would replace it")
@pytest.mark.parametrize("guess", ROWS, ids=lambda guess: f"{guess.field}|{'; '.join(guess.conditions)}")
def test_row(guess: Guess) -> None:
    assert guess.source
    assert guess.measurement or guess.shape == "fixed"
    assert guess.shape in ("normal", "lognormal", "triangle", "fixed", "word")
    assert not guess.tie or guess.tie in TIES
    for condition in guess.conditions:
        field, _, wanted = condition.partition(" ")
        options = words_of(field_of(field))
        assert wanted in ("given", *STANDINGS) or (wanted.startswith("= ") and wanted[2:] in options)
    if guess.shape == "word":
        assert {"true": True, "false": False}.get(guess.word, guess.word) in words_of(field_of(guess.field))
        return
    assert guess.low <= guess.median <= guess.high
    assert (guess.shape == "fixed") == (guess.low == guess.high)
    assert guess.shape != "lognormal" or guess.low > 0.0
    if not guess.field.startswith("model.") and not guess.tie:
        place = place_of(field_of(guess.field))
        assert place is not None
        assert place.low <= guess.low
        assert guess.high <= place.high


@pytest.mark.behaviour("a field's last row holds whatever else is typed, unless it is for one kind of case")
def test_last_rows() -> None:
    kinds = {"ahead.heat", "cases.speed", "cases.seconds", "cases.share_of_rated_power", "cases.start"}
    only_when_typed = {"cases.coolant_heat", "cases.ahead_heat", "cases.coolant_flow", "cases.recirculation"}
    only_when_typed |= {"cases.percent_on", "fans.low_speed", "ahead.condensing_temperature"}
    only_when_typed |= {"plumbing.electric_amps", "belt_fan.hub", "belt_fan.free_flow", "belt_fan.drive_power"}
    bound = {field for field, rows in guesses().items() if rows[-1].conditions}
    assert bound == kinds | only_when_typed


@pytest.mark.behaviour("each limit of the model parses, in order, in the unit of its kind")
def test_limits() -> None:
    for section, info in Job.model_fields.items():
        part = part_of(info.annotation)
        for name, field in part.model_fields.items() if part else ():
            assert field.description, f"{section}.{name}"
            assert field.description.endswith((".", "?")), f"{section}.{name}"
            if place := place_of(field):
                assert place.low < place.high, f"{section}.{name}"


@pytest.mark.behaviour("sources named in the table are kept in the one list of sources")
def test_sources() -> None:
    assert {guess.source for guess in ROWS} <= SOURCES.keys()


@pytest.mark.by_hand("log-sd 35 %: exp(+-1.6449 * 0.35) = 0.5623 and 1.7784; 10 gpm = 2310 in**3/min")
def test_pump() -> None:
    pump = filled()["circuit.pump_flow"]
    median = 2310 * 0.0254**3 / 60
    assert (pump.low, pump.median, pump.high) == pytest.approx((0.5623 * median, median, 1.7784 * median), rel=1e-3)


@pytest.mark.by_hand("sd 12, 15, 18 % of a lognormal: exp(+-1.6449 sd)")
@pytest.mark.parametrize(("line", "sd"), [("", 0.12), ('charger = "turbo"', 0.15), ('fuel = "diesel"', 0.18)])
def test_heat(line: str, sd: float) -> None:
    heat = filled(SMALL.replace("[engine]", f"[engine]\n{line}", 1))["model.heat"]
    assert (heat.low, heat.high) == pytest.approx((math.exp(-1.6449 * sd), math.exp(1.6449 * sd)), rel=2e-3)
    assert heat.median == 1.0


@pytest.mark.practice("pressure at the opening over that of the road air, each +-0.2")
@pytest.mark.parametrize(("word", "value"), [("leaky", 0.25), ("ordinary", 0.45), ("ducted", 0.65), ("side", 0.15)])
def test_opening(word: str, value: float) -> None:
    share = with_line("[opening]", f'type = "{word}"')["opening.pressure_share"]
    assert (share.low, share.median, share.high) == pytest.approx((value - 0.2, value, value + 0.2))


@pytest.mark.practice("front and exit losses together: 2 to 12 face heads around 5")
def test_losses_together() -> None:
    found = filled()
    u = (np.arange(4000) + 0.5) / 4000
    mix = np.random.default_rng(1).permutation(u)
    total = found["opening.front_loss"].quantile(u) + found["opening.exit_loss"].quantile(mix)
    assert np.median(total) == pytest.approx(5.5, abs=0.8)
    assert np.quantile(total, [0.05, 0.95]) == pytest.approx([2.2, 11.5], rel=0.15)


@pytest.mark.by_hand("55 kg + 36 kg/L * 5.7 L = 260 kg, three quarters of it in aluminium")
@pytest.mark.parametrize(("block", "mass"), [("iron", 260.2), ("aluminium", 195.15)])
def test_engine_mass(block: str, mass: float) -> None:
    engine = filled(SMALL.replace("[engine]", f'[engine]\nblock = "{block}"', 1))["engine.mass"]
    assert engine.median == pytest.approx(mass)
    assert engine.low < 0.85 * mass


@pytest.mark.by_hand("bands narrow by 0.7, 0.35 and 0.1; on a lognormal by that power of the ratio")
@pytest.mark.parametrize(("standing", "part"), [("guess", 1.0), ("box", 0.7), ("catalogue", 0.35), ("measured", 0.1)])
def test_standing_narrows(standing: str, part: float) -> None:
    fins = with_core(f'fins = "14 per_inch, {standing}"')["core.fins"]
    assert fins.high - fins.median == pytest.approx(part * 4 / 0.0254)
    pitch = with_core(f'louver_pitch = "1.5 mm, {standing}"')["core.louver_pitch"]
    assert pitch.low == pytest.approx(1.5e-3 * (0.9 / 1.2) ** part)
    assert (pitch.standing, pitch.is_guess) == (standing, standing == "guess")


def with_core(line: str) -> dict[str, Prior]:
    return filled(SMALL.replace("[core]", f"[core]\n{line}", 1))


@pytest.mark.by_hand("+-20 % of 10 gpm at 5 and 95 %")
def test_own_spread_stands() -> None:
    pump = with_line("[circuit]", 'pump_flow = "10 gpm +- 2 gpm, measured"')["circuit.pump_flow"]
    assert (pump.low / pump.median, pump.high / pump.median) == pytest.approx((0.8, 1.2))


@pytest.mark.behaviour("a band about a temperature or a share is moved, not stretched from nothing")
def test_bands_by_difference() -> None:
    opens = with_line("[circuit]", 'thermostat_opens = "180 degF"')["circuit.thermostat_opens"]
    assert opens.median - opens.low == pytest.approx(15 * 5 / 9)
    again = with_line("[opening]", "recirculation = 0.15")["opening.recirculation"]
    assert (again.low, again.high) == pytest.approx((0.09, 0.34))


@pytest.mark.behaviour("numbers without a spread in the table keep none")
def test_no_width() -> None:
    found = filled()
    for path in ("engine.rated_power", "core.width", "weather.ambient", "fans.0.free_flow"):
        assert found[path].low == found[path].median == found[path].high, path
        assert found[path].quantile([0.01, 0.99]).tolist() == [found[path].median] * 2


@pytest.mark.behaviour("what is typed and what is guessed can be told apart")
def test_standing_words() -> None:
    found = filled()
    assert (found["fans.0.free_flow"].standing, found["fans.0.free_flow"].typed) == ("box", "1450 cfm, box")
    assert (found["fans.1.free_flow"].standing, found["fans.1.free_flow"].typed) == ("guess", "")
    said = words(parse_job(SMALL.encode(), "x"))
    assert (said["engine.fuel"].value, said["engine.fuel"].is_guess) == ("gasoline", True)
    assert (said["cases.0.air_conditioning"].value, said["cases.1.trailer"].value) == (True, False)
    assert not said["cases.0.kind"].is_guess


@pytest.mark.behaviour("words lean on other words")
@pytest.mark.parametrize(
    ("line", "path", "value"),
    [
        ('boost_pressure = "8 psi"', "engine.charger", "turbo"),
        ('fuel = "diesel"', "engine.charge_cooler", "air"),
        ('charger = "supercharger"', "engine.charge_cooler", "water"),
        ("", "engine.charge_cooler", "none"),
    ],
)
def test_words_lean(line: str, path: str, value: str) -> None:
    text = SMALL.replace("[engine]", f"[engine]\n{line}", 1)
    assert words(parse_job(text.encode(), "x"))[path].value == value


@pytest.mark.behaviour("a trailer that is listed is towed up the grade, and only there")
def test_trailer() -> None:
    text = SMALL.replace("[engine]", '[vehicle]\ntrailer_mass = "1000 kg"\n\n[engine]', 1)
    said = words(parse_job(text.encode(), "x"))
    assert (said["cases.0.trailer"].value, said["cases.1.trailer"].value) == (False, True)


@pytest.mark.by_hand("one row fills a 1.25 in core; two of 7/8 in stand in a 2 in one; copper conducts 350")
def test_core_ties() -> None:
    two = filled()
    assert two["core.rows"].median == 2
    assert two["core.tube_width"].median == pytest.approx(0.875 * 0.0254)
    one = filled(SMALL.replace('"2 in, measured"', '"1 1/4 in"'))
    assert one["core.rows"].median == 1
    assert one["core.tube_width"].median == pytest.approx(1.25 * 0.0254)
    copper = with_core('fin_metal = "copper"')
    assert copper["core.fin_conductivity"].median == 350.0
    assert copper["core.tube_wall"].median == pytest.approx(0.15e-3)


@pytest.mark.by_hand("start 3.3 times run: 36.3 A; 39 % of a 100 A alternator at hot idle")
def test_electrical_ties() -> None:
    found = filled()
    assert found["fans.0.start_amps"].median == pytest.approx(36.3)
    assert found["electrical.alternator_hot_idle"].median == pytest.approx(39.0)


@pytest.mark.practice("a guessed fan lies between thin and strong fans of its size, 1 A per 60 to 130 cfm")
@pytest.mark.parametrize(("blade", "low", "high"), [(10, 500, 1100), (12, 800, 1600), (16, 1500, 2700)])
def test_fan_by_blade(blade: int, low: float, high: float) -> None:
    found = filled(SMALL.replace('code = "B"\nblade = "14 in"', f'code = "B"\nblade = "{blade} in"'))
    cfm = found["fans.1.free_flow"].median / 4.719474e-4
    assert low < cfm < high
    assert 60 < cfm / found["fans.1.run_amps"].median < 130


@pytest.mark.behaviour("knowing a fan better narrows what the box number is worth")
def test_fan_flow() -> None:
    box = filled()["model.fan_flow"]
    text = SMALL.replace("1450 cfm, box", "1450 cfm, measured").replace(
        'code = "B"', 'code = "B"\nfree_flow = "1450 cfm, measured"'
    )
    measured = filled(text)["model.fan_flow"]
    assert box.median < 0.9 < measured.median
    assert measured.high - measured.low < box.high - box.low


@pytest.mark.behaviour("a guess that leans on a missing number says which")
def test_nothing_to_lean_on() -> None:
    with pytest.raises(InputError, match=r"engine\.rated_power"):
        priors(Job())


SHAPES = st.sampled_from(["normal", "lognormal", "triangle"])


def prior(shape: str, median: float, below: float, above: float) -> Prior:
    return Prior("x", "number", median, median - below, median + above, shape, "guess", "", "", "")  # type: ignore[arg-type]


@pytest.mark.law("u = 0.05, 0.5, 0.95 return the table's three points; more u is never less")
@given(SHAPES, st.floats(1.0, 1e3), st.floats(0.0, 0.9), st.floats(0.0, 3.0))
def test_quantile(shape: str, median: float, below: float, above: float) -> None:
    band = prior(shape, median, below * median, above * median)
    assert band.quantile([0.05, 0.5, 0.95]) == pytest.approx([band.low, median, band.high], rel=1e-9)
    values = band.quantile(np.linspace(1e-6, 1 - 1e-6, 101))
    assert np.all(np.diff(values) >= 0.0)
    assert np.all(np.isfinite(values))
    assert band.quantile(np.full((2, 3), 0.5)).shape == (2, 3)


@pytest.mark.independent("scipy.stats")
def test_quantile_of_known_shapes() -> None:
    from scipy import stats

    u = np.linspace(0.01, 0.99, 33)
    normal = stats.norm(3.0, 0.5)
    band = prior("normal", 3.0, 3.0 - normal.ppf(0.05), normal.ppf(0.95) - 3.0)
    assert band.quantile(u) == pytest.approx(normal.ppf(u), rel=1e-12)
    log = stats.lognorm(0.35, scale=2.0)
    band = prior("lognormal", 2.0, 2.0 - log.ppf(0.05), log.ppf(0.95) - 2.0)
    assert band.quantile(u) == pytest.approx(log.ppf(u), rel=1e-12)
    triangle = stats.triang(0.5, loc=1.0, scale=2.0)
    band = prior("triangle", 2.0, 2.0 - triangle.ppf(0.05), triangle.ppf(0.95) - 2.0)
    assert band.quantile(u) == pytest.approx(triangle.ppf(u), rel=1e-12)


@pytest.mark.behaviour("a draw never leaves what is possible")
def test_held_within_limits() -> None:
    covered = filled()["shroud.covered_share"]
    assert covered.quantile([0.999]).tolist() == [1.0]
    assert filled()["core.blocked_share"].quantile([1e-6]).tolist() == [0.0]
