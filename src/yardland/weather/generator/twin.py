"""The generator in plain Python, day by day, with the same draws: slow, readable, the judge of the compiled one."""

from __future__ import annotations

from math import acos, cos, erf, exp, log, pi, sin, sqrt, tan

from yardland.weather.generator.model import CLEARNESS, LEAST_ROOT_RANGE, MONTH_OF_DAY, RAIN_DAY_MM, Model
from yardland.weather.generator.streams import draws, effects_of_months, memory

Day = tuple[float, float, float, float, float, float, float]
SPIN_UP_DAYS = 61
LEAST_WIND_M_S = 0.5


def draw_twin(model: Model, seed: int, years: int, start: int = 0) -> list[list[Day]]:
    """Years of days: tmin_c, tmax_c, rain_mm, rad_mj_m2, vap_kpa, wind_m_s, eto_mm; as `draw` without warming."""
    before = memory(model.slow)
    normals, daily = draws(seed, start - 1, years + 1, before)
    effects = effects_of_months(model.slow, normals, before).tolist()
    uniform, normal = daily.uniform.tolist(), daily.normal.tolist()
    plain = _Plain(model)
    return [plain.year(effects[y : y + 2], uniform[y : y + 2], normal[y : y + 2]) for y in range(years)]


class _Plain:
    """The model's numbers as lists."""

    def __init__(self, model: Model) -> None:
        self.rain = {name: getattr(model.rain, name).tolist() for name in type(model.rain).__dataclass_fields__}
        r = model.residual
        self.centre, self.sd = r.centre.tolist(), r.sd.tolist()
        self.lag, self.shock, self.slow = r.lag.tolist(), r.shock.tolist(), r.slow_share.tolist()
        self.bend, self.most_root_range = r.bend.tolist(), r.most_root_range.tolist()
        self.month = MONTH_OF_DAY.tolist()
        self.latitude_rad, self.altitude_m = model.latitude_deg * pi / 180, model.altitude_m

    def year(
        self, effects: list[list[list[float]]], uniform: list[list[list[float]]], normal: list[list[list[float]]]
    ) -> list[Day]:
        """One year behind November and December of the year before; lists hold both years."""
        wet, earlier, state, made = False, False, [0.0] * 5, []
        for step in range(-SPIN_UP_DAYS, 365):
            row, day = (1, step) if step >= 0 else (0, step + 365)
            m = self.month[day]
            effect = effects[row][m]
            wet, earlier = self.is_wet(m, wet, earlier, effect[0], uniform[row][day][0]), wet
            state = self.next_state(m, state, normal[row][day])
            if step >= 0:
                rain = self.amount_mm(m, effect[0], uniform[row][day][1]) if wet else 0.0
                z = [
                    sqrt(1 - share) * fast + sqrt(share) * slow
                    for share, fast, slow in zip(self.slow[m], state, effect[1:], strict=True)
                ]
                bent = [(v + c * (v * v - 1)) / sqrt(1 + 2 * c * c) for v, c in zip(z, self.bend[m], strict=True)]
                made.append(self.weather(day, wet, rain, bent))
        return made

    def is_wet(self, m: int, wet: bool, earlier: bool, effect: float, u: float) -> bool:
        """The chain's step."""
        level = self.rain["after_wet" if wet else "after_dry"][m] + self.rain["occurrence_sd"][m] * effect
        if earlier:
            level += self.rain["wet_memory" if wet else "dry_memory"][m]
        return bool(u < 0.5 * (1 + erf(level / sqrt(2))))

    def next_state(self, m: int, state: list[float], normal: list[float]) -> list[float]:
        """z(t) = A z(t-1) + B e(t)."""
        return [
            sum(a * z for a, z in zip(row, state, strict=True)) + sum(b * e for b, e in zip(low, normal, strict=True))
            for row, low in zip(self.lag[m], self.shock[m], strict=True)
        ]

    def amount_mm(self, m: int, effect: float, u: float) -> float:
        """Rain of a wet day by the inverse of the mixed exponential."""
        share = self.rain["share_low"][m]
        if u < share:
            excess = -self.rain["low_mm"][m] * log(1 - u / share)
        else:
            excess = -self.rain["high_mm"][m] * log(1 - (u - share) / (1 - share))
        return float(RAIN_DAY_MM + excess * exp(self.rain["amount_shift"][m] + self.rain["amount_sd"][m] * effect))

    def weather(self, day: int, wet: bool, rain_mm: float, z: list[float]) -> Day:
        """Back from the transformed variables."""
        kind = int(wet)
        value = [
            centre + sd * own for centre, sd, own in zip(self.centre[kind][day], self.sd[kind][day], z, strict=True)
        ]
        half = min(max(value[1], LEAST_ROOT_RANGE), self.most_root_range[self.month[day]]) ** 2 / 2
        low, high = value[0] - half, value[0] + half
        ra = self.outside_air_mj_m2(day + 1)
        clear = (0.75 + 2e-5 * self.altitude_m) * ra
        rad = min(max(1 / (1 + exp(-value[2])), CLEARNESS[0]), CLEARNESS[1]) * clear
        most = (_saturation(low) + _saturation(high)) / 2
        vapour = min(max(_saturation(low - value[3]), 0.01), most)
        wind = exp(value[4])
        eto = _eto_mm(low, high, vapour, max(wind, LEAST_WIND_M_S), rad, clear, self.altitude_m)
        return low, high, rain_mm, rad, vapour, wind, eto

    def outside_air_mj_m2(self, day_of_year: int) -> float:
        """Radiation outside the air (FAO-56 equations 21, 23-25)."""
        angle, phi = 2 * pi / 365 * day_of_year, self.latitude_rad
        delta = 0.409 * sin(angle - 1.39)
        omega = acos(min(max(-tan(phi) * tan(delta), -1.0), 1.0))
        shape = omega * sin(phi) * sin(delta) + cos(phi) * cos(delta) * sin(omega)
        return max(24 * 60 / pi * 0.0820 * (1 + 0.033 * cos(angle)) * shape, 0.0)


def _saturation(t: float) -> float:
    return 0.6108 * exp(17.27 * t / (t + 237.3))


def _eto_mm(low: float, high: float, vapour: float, wind: float, rad: float, clear: float, altitude_m: float) -> float:
    """FAO-56 equations 6-8, 11-13, 38, 39 in one."""
    mean = (low + high) / 2
    delta = 4098 * _saturation(mean) / (mean + 237.3) ** 2
    gamma = 0.665e-3 * 101.3 * ((293 - 0.0065 * altitude_m) / 293) ** 5.26
    share = min(max(rad / clear, 0.3), 1.0) if clear > 0.01 else 0.3
    emitted = ((high + 273.16) ** 4 + (low + 273.16) ** 4) / 2 * 4.903e-9
    net = 0.77 * rad - emitted * (0.34 - 0.14 * sqrt(vapour)) * (1.35 * share - 0.35)
    deficit = max((_saturation(low) + _saturation(high)) / 2 - vapour, 0.0)
    over = 0.408 * delta * net + gamma * 900 / (mean + 273) * wind * deficit
    return float(max(over / (delta + gamma * (1 + 0.34 * wind)), 0.0))
