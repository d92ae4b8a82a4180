"""A slow balance of one whole pack, written apart from the package, for tests to lean on.

Shared with the package: the published equations themselves (fin and duct correlations, Kays and London's loss,
Blasius, the pump and thermostat shapes) and the meaning of a flat record's fields. Not shared: every line that
evaluates them. Effectiveness, laminar Nusselt number and Gnielinski come from ht, air and coolant from CoolProp
without a table, fins and ducts from `oracle_radiator`; the fan's speed is the exact quadratic of the motor where
the package has a power law, its curve is read by `numpy.interp`, the returning hot air is mixed until it stands
still, the air is a root over one pressure with a root for every stack inside it, the circuit one root over the
pressure between engine and radiator. Nothing of the package is imported.
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


def _run_on(share: float, low: float, high: float) -> float:
    return low + (share - 0.3) / 0.4 * (high - low)


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

    def air_law(self, air: Air, T1: float, T2: float, f_scale: float) -> Any:
        """Pressure lost as a function of flow between two temperatures."""
        T = (T1 + T2) / 2
        mu, v1, v2 = air.mu(T), 1 / air.rho(T1), 1 / air.rho(T2)
        Pr = air.cp(T) * mu / air.k(T)
        s = self.Ac / self.face

        def lost(m: float) -> float:
            _, f = _fin(self.case, m / self.Ac, mu, Pr, self.Dh)
            entry, exit_ = 1.42 * (1 - s**2) * v1, (1 - s**2 - (1 - s) ** 2) * v2
            friction = f_scale * f * self.Ao / self.Ac * (v1 + v2) / 2
            return (m / self.Ac) ** 2 / 2 * (entry + 2 * (v2 - v1) + friction - exit_)

        return lost

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
        self.ahead = [(Block(p["ahead"][i]), i) for i in range(int(p["ahead_count"]))]
        self.fans = [_fan(p, i) for i in range(int(p["fan_count"]))]
        self.pusher = bool(self.fans) and p["fan_is_pusher"][0] > 0
        self.lanes = [(int(s), v) for s, v in enumerate(p["lane_share"]) if v > 0]
        pieces = zip(p["segment_coolers"], p["segment_share"], strict=True)
        self.pieces = [(int(s), float(v)) for s, v in pieces if v > 0]
        self.sets: dict[int, float] = {}
        for across, wide in self.lanes:
            for along, long in self.pieces:
                self.sets[across & along] = self.sets.get(across & along, 0.0) + wide * long

    @property
    def zones(self) -> dict[str, float]:
        """Share of the face behind the fans, under pushers as well, and beside them."""
        p, face = self.p, float(self.p["open_share"])
        shares = {
            "drawn": face * (p["covered_share"] - p["pushed_share"]),
            "pushed": face * p["pushed_share"],
            "beside": face * (1 - p["covered_share"]),
        }
        return {name: float(share) for name, share in shares.items() if share > 0}

    def temperatures(self, flows: dict[tuple[str, int], float]) -> dict[Any, float]:
        """Mixed at the opening, into the core behind every set, out of it: hot air comes back until nothing changes."""
        p, r = self.p, self.p["recirculation"]
        each = {(zone, s): self.zones[zone] * self.sets[s] * m for (zone, s), m in flows.items()}
        m = sum(each.values())
        through = {i: sum(v for (_, s), v in each.items() if s >> i & 1) for _, i in self.ahead}
        outside = p["ambient"] + p["pavement_rise"]
        mixed = leaving = outside
        cp = self.air.cp(outside)
        rises: dict[int, float] = {}
        for turn in range(120):
            before = leaving
            if turn < 6:
                cp = self.air.cp(min((outside + leaving) / 2, 470.0))
            mixed = (1 - r) * outside + r * leaving
            given = 0.0
            for block, i in self.ahead:
                heat = p["ahead_heat"][i]
                if not math.isnan(p["ahead_temperature"][i]):
                    heat = self._condenser(block, i, through[i], cp, mixed, rises)
                rises[i] = heat / (through[i] * cp)
                given += heat
            leaving = mixed + (given + p["heat"]) / (m * cp)
            if turn > 6 and abs(leaving - before) < 1e-10:
                break
        found: dict[Any, float] = {"mixed": mixed, "in": mixed + given / (m * cp), "out": leaving, "cp": cp, "all": m}
        for s in self.sets:
            found[s] = mixed + sum(rise for i, rise in rises.items() if s >> i & 1)
        return found | {f"cooler {i}": rise for i, rise in rises.items()}

    def _condenser(self, block: Block, i: int, m: float, cp: float, mixed: float, rises: dict[int, float]) -> float:
        """Heat of a condenser held at one temperature, behind the coolers before it."""
        own = {s: share for s, share in self.sets.items() if s >> i & 1}
        share = sum(own.values())
        before = mixed + sum(rises[j] * sum(v for s, v in own.items() if s >> j & 1) / share for j in range(i))
        part = share * self.p["open_share"]
        outside = self.p["ambient"] + self.p["pavement_rise"]
        hA = (
            block.air_conductance(self.air, m / part, outside, self.p["j_scale"])
            * part
            * self.p["ahead_inner_share"][i]
        )
        return m * cp * (1 - math.exp(-hA / (m * cp))) * (self.p["ahead_temperature"][i] - before)

    def balance(self, start: dict[tuple[str, int], float]) -> dict[tuple[str, int], float]:
        """Flows of every zone and set at the temperatures the old flows give; as if the whole face passed each."""
        p, T = self.p, self.temperatures(start)
        mixed, out = self.air.rho(T["mixed"]), self.air.rho(T["out"])
        face, warmer = self.core.face, T["out"] - T["in"]
        losses = {s: self._loss_of(s, T, warmer) for s in self.sets}

        def head(K: float, rho: float, m: float) -> float:
            return K * m * abs(m) / (2 * rho * face**2)

        def at(s: int, pressure: float) -> float:
            least = self._slowest()
            if pressure <= losses[s](least):  # the friction relation ends here; nothing is balanced there
                return max(least * pressure / losses[s](least), 0.0)
            return brentq(lambda m: losses[s](m) - pressure, least, 60.0, xtol=1e-12)

        def through(zone: str, pressure: float) -> float:
            if zone not in self.zones:
                return 0.0
            return self.zones[zone] * sum(share * at(s, pressure) for s, share in self.sets.items())

        def shared(m: float) -> float:
            return head(p["front_loss"], mixed, m) + head(p["exit_loss"], out, m)

        q = 0.5 * self.air.rho(p["ambient"]) * p["road_speed"] ** 2
        ram = float((p["inlet_share"] - p["bay_share"]) * q)

        def beside(drawn: float) -> float:
            left = ram - shared(drawn)
            if "beside" not in self.zones or left <= 0:
                return 0.0
            return brentq(lambda b: b - ram + shared(drawn + through("beside", b)), 0.0, left, xtol=1e-9)

        mains = [f for i, f in enumerate(self.fans) if not self._helps(i)]
        helpers = [f for i, f in enumerate(self.fans) if self._helps(i)]
        rho = mixed if self.pusher and not helpers else out

        def helped(pressure: float) -> float:
            if not helpers:
                return 0.0

            def spare(h: float) -> float:
                return mixed * sum(fan.moves(h, mixed) for fan in helpers) - through("pushed", pressure + h)

            return brentq(spare, -pressure - 5.0, 2000.0, xtol=1e-9)

        def surplus(pressure: float) -> float:
            drawn = through("drawn", pressure) + through("pushed", pressure + helped(pressure))
            whole = drawn / (p["open_share"] * p["covered_share"])
            total = drawn + through("beside", beside(drawn))
            behind = head(self.plenum(losses, at, pressure, whole / (out * face), out), out, whole)
            rise = pressure + behind + shared(total) - ram
            if not self.fans:
                return -rise
            at_gap, at_flap = rise - p["leak_lift"] * behind, rise - p["flap_lift"] * behind
            gap = 0.6 * p["leak_area"] * math.copysign(math.sqrt(2 * abs(at_gap) / rho), at_gap)
            gap -= 0.6 * p["flap_area"] * math.sqrt(2 * max(-at_flap, 0.0) / rho)
            return rho * (sum(fan.moves(rise, rho) for fan in mains) - gap) - drawn

        P = brentq(surplus, 1e-6, 4000.0, xtol=1e-9)
        levels = {"drawn": P, "pushed": P + helped(P)}
        if "beside" in self.zones:
            drawn = through("drawn", P) + through("pushed", levels["pushed"])
            levels["beside"] = beside(drawn)
        return {(zone, s): at(s, levels[zone]) for zone in self.zones for s in self.sets}

    def plenum(self, losses: Any, at: Any, pressure: float, speed: float, rho: float) -> float:
        """K of the plenum from its table: parabola in ln k, straight in the linear share."""
        k, share = self._key(losses, at, pressure, speed, rho)
        table = self.p["plenum_loss"].reshape(3, 2)
        ends = [np.polyval(np.polyfit(np.log([7, 22, 70]), column, 2), np.log(k)) for column in table.T]
        return float(np.sinh(_run_on(share, *ends)))

    def unevenness(self, flows: dict[tuple[str, int], float], T: dict[Any, float]) -> float:
        """Heat ratio from its table at the balanced flows: parabolas in ln k and ln v, straight in the share."""
        zone = "drawn" if "drawn" in self.zones else "pushed"
        rho = self.air.rho(T["out"])
        losses = {s: self._loss_of(s, T, T["out"] - T["in"]) for s in self.sets}
        drawn = sum(
            self.zones[z] * sum(share * flows[z, s] for s, share in self.sets.items())
            for z in ("drawn", "pushed")
            if z in self.zones
        )
        speed = drawn / (self.p["open_share"] * self.p["covered_share"] * rho * self.core.face)
        main = max(self.sets, key=lambda s: self.sets[s])
        m = flows[zone, main]
        k, share = self._key(losses, lambda *_: m, losses[main](m), speed, rho)
        table = self.p["unevenness"].reshape(3, 2, 3)
        at_speed = np.polyfit(np.log([0.9, 2.1, 5.0]), table.reshape(6, 3).T, 2)
        nodes = np.array([np.polyval(c, np.log(min(max(speed, 0.3), 12.0))) for c in at_speed.T]).reshape(3, 2)
        ends = [np.polyval(np.polyfit(np.log([7, 22, 70]), column, 2), np.log(k)) for column in nodes.T]
        return float(1.0 - np.exp(min(_run_on(share, *ends), 0.0)))

    def _key(self, losses: Any, at: Any, pressure: float, speed: float, rho: float) -> tuple[float, float]:
        """Loss coefficient on the face's head, and linear share from the slope at the working point."""
        main = max(self.sets, key=lambda s: self.sets[s])
        m = max(at(main, pressure), 1.01 * self._slowest())
        slope = np.log(losses[main](1.25 * m) / losses[main](m)) / np.log(1.25)
        k = pressure / (0.5 * rho * speed**2) if speed > 0 else 250.0
        return min(max(k, 2.0), 250.0), min(max(2.0 - slope, 0.03), 0.97)

    def _slowest(self) -> float:
        blocks = [self.core, *(block for block, _ in self.ahead)]
        return max(40.0 * self.air.mu(self.p["ambient"]) * block.Ac / block.case.Lp for block in blocks)

    def _helps(self, i: int) -> bool:
        return bool(self.p["pushed_share"] > 0 and self.p["fan_is_pusher"][i] > 0)

    def _loss_of(self, s: int, T: dict[Any, float], warmer: float) -> Any:
        """Pressure lost behind a set of coolers as a function of flow, temperatures held."""
        parts, entering = [], T["mixed"]
        for block, i in self.ahead:
            if s >> i & 1:
                parts.append(block.air_law(self.air, entering, entering + T[f"cooler {i}"], self.p["f_scale"]))
                entering += T[f"cooler {i}"]
        parts.append(self.core.air_law(self.air, entering, entering + warmer, self.p["f_scale"]))
        return lambda m: sum(part(m) for part in parts)

    def balance_air(self) -> dict[tuple[str, int], float]:
        """Air of every zone and set, until the temperatures stand still."""
        flows = {(zone, s): 1.0 for zone in self.zones for s in self.sets}
        for _ in range(60):
            new = self.balance(flows)
            change = max(abs(new[spot] - flows[spot]) for spot in flows)
            flows = {spot: 0.5 * (new[spot] + flows[spot]) if change > 0.3 else new[spot] for spot in flows}
            if change < 1e-9:
                break
        return flows

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

    def shed(self, T: float, flow: float, flows: dict[tuple[str, int], float]) -> float:
        """Heat given up at a coolant temperature; each zone gets what the one before has cooled."""
        p, warm = self.p, self.temperatures(flows)
        rho, cp, _, _ = coolant(self.glycol, self.share, T)
        for _ in range(2):
            rho, cp, k, mu = coolant(self.glycol, self.share, max(T - p["heat"] / (flow * rho * cp) / 2, 260.0))
        inside = self.core.coolant_conductance(rho * flow, cp, k, mu)
        C_all, T_next, heat = rho * flow * cp, T, 0.0
        uneven = self.unevenness(flows, warm)
        half = (warm["out"] - warm["in"]) / 2
        crossings = {"pushed": math.sqrt(p["pushed_share"]), "drawn": p["crossed_share"], "beside": 1.0}
        for zone, crossed in crossings.items():
            if zone not in self.zones:
                continue
            taken = 0.0
            for across, wide in self.lanes:
                left = T_next
                for coolers, long in _runs(across, self.pieces):
                    part, m = self.zones[zone] * wide * long, flows[zone, coolers]
                    if m <= 1e-5:
                        continue
                    outside = self.core.air_conductance(self.air, m, warm[coolers] + half, p["j_scale"])
                    UA = part / (1 / outside + self.core.tw / (self.core.k * self.core.Aw) + 1 / inside)
                    C = sorted((part * m * warm["cp"], C_all * crossed * wide))
                    eps = effectiveness_from_NTU(UA / C[0], C[0] / C[1], subtype="crossflow")
                    gives = eps * C[0] * (left - warm[coolers])
                    taken += gives
                    left -= gives / (C_all * crossed * wide)
            heat += taken * (1.0 if zone == "beside" else uneven)
            T_next = T - heat / C_all
        return heat

    def solve(self) -> Answer:
        """Balance air, then coolant full open, then coolant with the thermostat at work."""
        p = self.p
        flows = self.balance_air()
        warm = self.temperatures(flows)

        def found(lift_at: Any) -> float:
            def excess(T: float) -> float:
                return self.shed(T, self.radiator_flow(T, lift_at(T)), flows) - p["heat"]

            return brentq(excess, warm["mixed"] + 0.1, 440.0, xtol=1e-6)

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
        return Answer(warm["all"], warm["in"], warm["out"], unregulated, regulated, flow)


def _runs(across: int, pieces: list[tuple[int, float]]) -> list[tuple[int, float]]:
    """Lengths of tube behind one set after another, like neighbours joined."""
    runs: list[tuple[int, float]] = []
    for along, long in pieces:
        if runs and runs[-1][0] == across & along:
            runs[-1] = (runs[-1][0], runs[-1][1] + long)
        else:
            runs.append((across & along, long))
    return runs
