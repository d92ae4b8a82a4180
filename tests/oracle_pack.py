"""A slow balance of one whole pack, written apart from the package, for tests to lean on.

Shared with the package: the published equations themselves (fin and duct correlations, Kays and London's loss,
Blasius, the pump and thermostat shapes) and the meaning of a flat record's fields. Not shared: every line that
evaluates them. Effectiveness, laminar Nusselt number and Gnielinski come from ht, air and coolant from CoolProp
without a table, fins and ducts from `oracle_radiator`; the fan's speed is the exact quadratic of the motor where
the package has a power law, its curve is read by `numpy.interp`, the returning hot air is mixed until it stands
still, the air is one root over the whole flow, the circuit one root over the pressure between engine and
radiator. Nothing of the package is imported.
"""

import math
from dataclasses import dataclass
from typing import Any

import numpy as np
from CoolProp.CoolProp import HAPropsSI
from ht.hx import effectiveness_from_NTU
from scipy.optimize import brentq

from tests.oracle_radiator import Case, _duct, _fin, coolant

FINS = ("louvered", "plain", "wavy")


@dataclass(frozen=True)
class Air:
    """Moist air at one pressure."""

    P: float
    W: float

    def rho(self, T: float) -> float:
        return 1.0 / HAPropsSI("Vha", "T", T, "P", self.P, "W", self.W)

    def cp(self, T: float) -> float:
        return float(HAPropsSI("cp_ha", "T", T, "P", self.P, "W", self.W))

    def mu(self, T: float) -> float:
        return float(HAPropsSI("mu", "T", T, "P", self.P, "W", 0.0))

    def k(self, T: float) -> float:
        return float(HAPropsSI("k", "T", T, "P", self.P, "W", 0.0))


class Block:
    """One core: its areas, and what air and coolant do in it."""

    def __init__(self, row: Any) -> None:
        fin, L, S, D, Nr, w, Dm, tw, fins, Fl, df, k, Lp, theta, cut, passes = (float(v) for v in row)
        Fp = 1.0 / fins
        n = math.floor((S - Fl) / (Fl + Dm) + 1e-12)
        legs, straight = L / Fp, w - Dm
        self.L, self.k, self.tw, self.face, self.passes = L, k, tw, L * S, passes
        self.Ac = (n + 1) * Fl * (L - legs * df)
        self.Afin = (n + 1) * legs * 2 * Fl * D
        outside = n * Nr * L * (2 * straight + math.pi * Dm)
        self.Ao = self.Afin + outside - n * Nr * 2 * legs * df * straight
        self.Dh = 4 * self.Ac * D / self.Ao
        wide, high = w - 2 * tw, Dm - 2 * tw
        wet = 2 * (wide - high) + math.pi * high
        self.bore = (wide - high) * high + math.pi * high**2 / 4
        self.Di, self.aspect = 4 * self.bore / wet, high / wide
        self.Ai, self.tubes = n * Nr * wet * L, n * Nr
        self.Aw = (outside + self.Ai) / 2
        self.case = Case(
            FINS[int(fin)], L, S, D, int(Nr), w, Dm, tw, Fp, Fl, df, k, Lp, math.degrees(theta), cut * Fl,
            int(passes), 0.0, 0.0, 0.0, "MEG", 0.0, 0.0, 0.0,
        )  # fmt: skip

    def fin(self, air: Air, m: float, T: float) -> tuple[float, float, float, float]:
        """Colburn and Fanning factors, mass velocity and Prandtl number."""
        mu = air.mu(T)
        Pr = air.cp(T) * mu / air.k(T)
        j, f = _fin(self.case, m / self.Ac, mu, Pr, self.Dh)
        return j, f, m / self.Ac, Pr

    def air_loss(self, air: Air, m: float, T1: float, T2: float, f_scale: float) -> float:
        _, f, G, _ = self.fin(air, m, (T1 + T2) / 2)
        s, v1, v2 = self.Ac / self.face, 1 / air.rho(T1), 1 / air.rho(T2)
        entry, exit_ = 1.42 * (1 - s**2) * v1, (1 - s**2 - (1 - s) ** 2) * v2
        friction = f_scale * f * self.Ao / self.Ac * (v1 + v2) / 2
        return G**2 / 2 * (entry + 2 * (v2 - v1) + friction - exit_)

    def air_conductance(self, air: Air, m: float, T: float, j_scale: float) -> float:
        j, _, G, Pr = self.fin(air, m, T)
        h = j * G * air.cp(T) / Pr ** (2 / 3)
        c = self.case
        ml = math.sqrt(2 * h / (c.k * c.df) * (1 + c.df / c.D)) * c.Fl / 2
        return j_scale * h * self.Ao * (1 - self.Afin / self.Ao * (1 - math.tanh(ml) / ml))

    def _inside(self, m: float, cp: float, k: float, mu: float) -> tuple[float, float, float]:
        G = m * self.passes / self.tubes / self.bore
        Nu, f = _duct(G * self.Di / mu, cp * mu / k, self.Di, self.L, self.aspect)
        return G, Nu, f

    def coolant_conductance(self, m: float, cp: float, k: float, mu: float) -> float:
        return self._inside(m, cp, k, mu)[1] * k / self.Di * self.Ai

    def coolant_loss(self, m: float, rho: float, cp: float, k: float, mu: float) -> float:
        G, _, f = self._inside(m, cp, k, mu)
        return self.passes * (f * self.L / self.Di + 1.5) * G**2 / (2 * rho)


@dataclass(frozen=True)
class Fan:
    """One fan at its volts: speed over the test's, and its curve at that speed."""

    speed: float
    flow: np.ndarray
    pressure: np.ndarray
    density: float
    scale: float
    disc: float
    stopped_loss: float

    def moves(self, rise: float, rho: float) -> float:
        """Volume flow at a pressure rise."""
        if self.speed == 0.0:
            return -math.copysign(self.disc * math.sqrt(2 * abs(rise) / (rho * self.stopped_loss)), rise)
        at_test = rise / (self.speed**2 * rho / self.density)
        return self.scale * self.speed * float(np.interp(at_test, self.pressure, self.flow))


def _fan(p: Any, i: int) -> Fan:
    n = int(p["fan_points"][i])
    q, dp = np.array(p["fan_flow"][i][:n]), np.array(p["fan_pressure"][i][:n])
    far = -100.0 * dp[0]
    past_free_air = q[-1] + (far - dp[-1]) * (q[-1] - q[-2]) / (dp[-1] - dp[-2])
    pressure = np.concatenate(([1.05 * dp[0]], dp, [far]))[::-1]
    flow = np.concatenate(([0.0], q, [past_free_air]))[::-1]
    speed = fan_speed(p, i) if p["fan_on"][i] > 0 else 0.0
    return Fan(
        speed, flow, pressure, p["fan_density"][i], p["fan_scale"][i], p["fan_disc"][i], p["fan_stopped_loss"][i]
    )


def fan_speed(p: Any, i: int) -> float:
    """Speed over the test's with the wires' loss: V = K w + R I, torque as speed squared."""
    rated, amps, source, R = p["fan_volts"][i], p["fan_amps"][i], p["source_volts"], p["path_resistance"][i]
    if p["fan_is_brushless"][i] > 0:

        def speed(volts: float) -> float:
            return min(volts / 11, 1.0) / min(rated / 11, 1.0)

        left = brentq(lambda V: V + R * amps * speed(V) ** 3 * rated / V - source, source / 2, source, xtol=1e-12)
        return speed(left)
    resistive = 1.0 / p["fan_stall_ratio"][i]
    return brentq(
        lambda n: ((1 - resistive) * n + resistive * n**2) * rated - source + R * amps * n**2, 0.01, 5.0, xtol=1e-13
    )


@dataclass(frozen=True)
class Answer:
    """What the balance finds."""

    air: float
    air_in: float
    air_out: float
    unregulated: float
    regulated: float
    coolant_flow: float


class Pack:
    """One record's pack with a coolant; every part of the balance by name."""

    def __init__(self, p: Any, glycol: str, share: float) -> None:
        self.p, self.glycol, self.share = p, glycol, share
        self.air = Air(float(p["pressure"]), float(p["humidity_ratio"]))
        self.core = Block(p["core"])
        self.ahead = [
            (Block(p["ahead"][i]), p["ahead_heat"][i], p["ahead_cover"][i]) for i in range(int(p["ahead_count"]))
        ]
        self.fans = [_fan(p, i) for i in range(int(p["fan_count"]))]
        self.pusher = bool(self.fans) and p["fan_is_pusher"][0] > 0

    def temperatures(self, m: float) -> tuple[float, float, float]:
        """Mixed at the opening, into the core, out of it: hot air comes back until nothing changes."""
        r, given = self.p["recirculation"], sum(heat for _, heat, _ in self.ahead)
        outside = self.p["ambient"] + self.p["pavement_rise"]
        mixed = leaving = outside
        cp = self.air.cp(outside)
        for turn in range(80):
            before = leaving
            if turn < 6:
                cp = self.air.cp(min((outside + leaving) / 2, 470.0))
            mixed = (1 - r) * outside + r * leaving
            leaving = mixed + (given + self.p["heat"]) / (m * cp)
            if turn > 6 and abs(leaving - before) < 1e-10:
                break
        return mixed, mixed + given / (m * cp), leaving

    def losses(self, m: float, total: float, share: float, plenum: float) -> tuple[float, float]:
        """Opening to fan, and fan to the outside, at a zone's flow."""
        mixed, air_in, air_out = self.temperatures(total)
        whole = m / share
        V1, V2 = (total / self.air.rho(T) / self.core.face for T in (mixed, air_out))
        V_zone = whole / self.air.rho(air_out) / self.core.face
        lost = self.p["front_loss"] * self.air.rho(mixed) * V1**2 / 2 + plenum * self.air.rho(air_out) * V_zone**2 / 2
        T, given = mixed, sum(heat for _, heat, _ in self.ahead)
        for block, heat, cover in self.ahead:
            warmer = T + (air_in - mixed) * heat / given
            lost += cover * block.air_loss(self.air, whole, T, warmer, self.p["f_scale"])
            T = warmer
        lost += self.core.air_loss(self.air, whole, air_in, air_out, self.p["f_scale"])
        return lost, self.p["exit_loss"] * self.air.rho(air_out) * V2**2 / 2

    def ram(self) -> float:
        q = 0.5 * self.air.rho(self.p["ambient"]) * self.p["road_speed"] ** 2
        return float((self.p["inlet_share"] - self.p["bay_share"]) * q)

    def rho_at_fan(self, mixed: float, air_out: float) -> float:
        """Density the fans see: hot air behind the core, outside air ahead of it."""
        return self.air.rho(mixed if self.pusher else air_out)

    def surplus(self, m: float, total: float) -> float:
        """Air the fans would move less what the zone behind them passes; Pa without fans."""
        to_fan, beyond = self.losses(m, total, self.covered, self.p["plenum_loss"])
        rise = to_fan + beyond - self.ram()
        if not self.fans:
            return -rise
        mixed, _, air_out = self.temperatures(total)
        rho = self.rho_at_fan(mixed, air_out)
        suction = rise - beyond
        gap = 0.6 * self.p["leak_area"] * math.copysign(math.sqrt(2 * abs(suction) / rho), suction)
        return rho * (sum(fan.moves(rise, rho) for fan in self.fans) - gap) - m

    @property
    def covered(self) -> float:
        return float(self.p["open_share"] * self.p["covered_share"])

    @property
    def beside(self) -> float:
        return float(self.p["open_share"] * (1 - self.p["covered_share"]))

    def zones(self, total: float) -> tuple[float, float]:
        """Air of both zones if this total set the temperatures."""
        slowest = max(31.0 * self.air.mu(self.p["ambient"]) * block.Ac / block.case.Lp for block in self._blocks())
        covered = slowest * self.covered
        if self.surplus(covered, total) > 0.0:
            covered = brentq(lambda m: self.surplus(m, total), covered, 8.0, xtol=1e-9)
        least = slowest * self.beside

        def left(m: float) -> float:
            return self.ram() - sum(self.losses(m, total, self.beside, 0.0))

        if least <= 0 or left(least) <= 0:
            return covered, 0.0
        return covered, brentq(left, least, 8.0, xtol=1e-9)

    def _blocks(self) -> list[Block]:
        return [self.core, *(block for block, _, _ in self.ahead)]

    def balance_air(self) -> tuple[float, float]:
        """Air of both zones."""
        if self.beside <= 0:
            return brentq(lambda m: self.surplus(m, m), self._least(), 8.0, xtol=1e-9), 0.0
        total = brentq(lambda m: sum(self.zones(m)) - m, self._least(), 8.0, xtol=1e-8)
        return self.zones(total)

    def _least(self) -> float:
        """An air flow that keeps the air under 450 K, where the property library ends."""
        given = self.p["heat"] + sum(heat for _, heat, _ in self.ahead)
        return float(
            given / (1 - self.p["recirculation"]) / 1020.0 / (450.0 - self.p["ambient"] - self.p["pavement_rise"])
        )

    def radiator_flow(self, T: float, lift: float) -> float:
        """Coolant volume flow: one root over the pressure between engine and radiator branch."""
        p = self.p
        if not math.isnan(p["coolant_flow"]):
            return float(p["coolant_flow"] * lift)
        rho, cp, k, mu = coolant(self.glycol, self.share, T)
        p0, rated = p["pump_shutoff"], p["pump_flow"]
        pumped = rated / (1 - p["bypass_share"])

        def branch(q: float) -> float:
            v = q / (math.pi * p["hose_bore"] ** 2 / 4)
            Re = max(rho * v * p["hose_bore"] / mu, 1.0)
            darcy = max(64 / Re, 0.316 / Re**0.25)
            hose = (darcy * p["hose_length"] / p["hose_bore"] + p["hose_fittings"]) * rho * v**2 / 2
            wax = 0.20 * 0.55 * p0 * (q / (rated * max(lift, 0.005))) ** 2
            return self.core.coolant_loss(rho * q, rho, cp, k, mu) + hose + wax

        def through(pressure: float) -> float:
            return brentq(lambda q: branch(q) - pressure, 1e-9, 5 * rated, xtol=1e-14)

        def left(pressure: float) -> float:
            past = p["bypass_share"] * pumped * math.sqrt(pressure / (0.35 * 0.55 * p0))
            share = (through(pressure) + past) / pumped
            return p0 * (1 - 0.45 * share**2) - 0.65 * 0.55 * p0 * share**2 - pressure

        return through(brentq(left, 1e-4 * p0, p0, xtol=1e-8 * p0))

    def shed(self, T: float, flow: float, covered: float, beside: float) -> float:
        """Heat given up at a coolant temperature; the zone beside the fans gets what the other one cooled."""
        p = self.p
        _, air_in, air_out = self.temperatures(covered + beside)
        rho, cp, _, _ = coolant(self.glycol, self.share, T)
        for _ in range(2):
            rho, cp, k, mu = coolant(self.glycol, self.share, max(T - p["heat"] / (flow * rho * cp) / 2, 260.0))
        inside = self.core.coolant_conductance(rho * flow, cp, k, mu)
        cp_air = self.air.cp((air_in + air_out) / 2)
        C_all, T_next, heat = rho * flow * cp, T, 0.0
        zones = (covered, self.covered, p["heat_ratio"], p["crossed_share"]), (beside, self.beside, 1.0, 1.0)
        for m, share, ratio, crossed in zones:
            if share <= 0 or m <= 0:
                continue
            outside = self.core.air_conductance(self.air, m / share, (air_in + air_out) / 2, p["j_scale"])
            UA = share / (1 / outside + self.core.tw / (self.core.k * self.core.Aw) + 1 / inside)
            C = sorted((m * cp_air, C_all * crossed))
            heat += (
                ratio * effectiveness_from_NTU(UA / C[0], C[0] / C[1], subtype="crossflow") * C[0] * (T_next - air_in)
            )
            T_next = T - heat / C_all
        return heat

    def solve(self) -> Answer:
        """Balance air, then coolant full open, then coolant with the thermostat at work."""
        p = self.p
        covered, beside = self.balance_air()
        _, air_in, air_out = self.temperatures(covered + beside)

        def found(lift_at: Any) -> float:
            def excess(T: float) -> float:
                return self.shed(T, self.radiator_flow(T, lift_at(T)), covered, beside) - p["heat"]

            return brentq(excess, air_in + 0.1, 440.0, xtol=1e-6)

        unregulated = found(lambda _: 1.0)
        flow = self.radiator_flow(unregulated, 1.0)
        regulated, drop = unregulated, 0.0
        if p["thermostat"] > 1:
            rho, cp, _, _ = coolant(self.glycol, self.share, unregulated)
            drop = p["heat"] * (1 - p["bypass_share"]) / (flow * rho * cp)

        def lift(T: float) -> float:
            return min(max((T - drop - p["thermostat_opens"]) / p["thermostat_span"], 1e-3), 1.0)

        if p["thermostat"] > 0 and lift(unregulated) < 1:
            regulated = found(lift)
            flow = self.radiator_flow(regulated, lift(regulated))
        return Answer(covered + beside, air_in, air_out, unregulated, regulated, flow)
