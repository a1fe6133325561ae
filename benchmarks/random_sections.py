"""Of 3,000 angles on random four-digit sections, count those without an answer.

Four series of 30 sections, 25 angles each from -4 to 20 degrees: camber 0 to 6 % at 20 to 60 %,
thickness 9 to 21 %, Re 0.7 to 6 million; two free at the usual amplification factor, one at a low one,
one tripped at 5 %.

With a number behind its name it runs that many random sections with random flaps instead (none, plain or
split, -10 to 45 degrees), 31 angles each from -4 to 26 degrees; 2,000 take about an hour. With ``hung`` and a
number it runs that many pairs of a section and a flap that is an airfoil of its own behind it.
"""

from __future__ import annotations

import sys
import time

import numpy as np

from slowflight.errors import RangeError, SectionError
from slowflight.flow.integral.bodies.lift_curve import SLOT, elements_lift_curve
from slowflight.flow.lift_curve import lift_curve
from slowflight.flow.solution import LiftCurve
from slowflight.wing.elements import hung_flap
from slowflight.wing.flap import PlainFlap, deflect, deflect_split
from slowflight.wing.section import Section

SERIES = (
    (3, 9.0, (None, None)),
    (11, 9.0, (None, None)),
    (12, 5.0, (None, None)),
    (13, 9.0, (0.05, 0.05)),
)
ANGLES = [float(a) for a in range(-4, 21)]


def four_digit(camber: float, place: float, thickness: float) -> Section:
    """A four-digit section with fractional digits (NACA Report 460), closed trailing edge."""
    x = 0.5 * (1.0 - np.cos(np.linspace(0.0, np.pi, 200)))
    half = (
        5.0 * thickness * (0.2969 * np.sqrt(x) - 0.1260 * x - 0.3516 * x**2 + 0.2843 * x**3 - 0.1036 * x**4)
    )
    ahead = x < place
    scale = np.where(ahead, camber / place**2, camber / (1.0 - place) ** 2)
    line = scale * np.where(ahead, 2.0 * place * x - x**2, 1.0 - 2.0 * place + 2.0 * place * x - x**2)
    slope = np.arctan(2.0 * scale * (place - x))
    upper_x, upper_y = x - half * np.sin(slope), line + half * np.cos(slope)
    lower_x, lower_y = x + half * np.sin(slope), line - half * np.cos(slope)
    out_x, out_y = np.concatenate((lower_x[::-1], upper_x[1:])), np.concatenate((lower_y[::-1], upper_y[1:]))
    out_x[[0, -1]], out_y[[0, -1]] = 1.0, 0.0
    return Section(name="random", x=out_x, y=out_y, source="random_sections.py")


def count(curve: LiftCurve) -> tuple[int, int, int]:
    """Unanswered angles: up to one past the largest lift, beyond it, and those that do not say why."""
    lift = [-9.0 if p.cl is None else p.cl for p in curve.points]
    peak = int(np.argmax(lift))
    failed = [i for i, p in enumerate(curve.points) if not p.converged]
    silent = sum(not curve.points[i].warnings for i in failed)
    return sum(i <= peak + 1 for i in failed), sum(i > peak + 1 for i in failed), silent


def flapped(section: Section, rng: np.random.Generator) -> tuple[Section, str]:
    """A section with a plain or a split flap, or with none."""
    kind = str(rng.choice(("none", "plain", "plain", "split")))
    chord, angle = float(rng.uniform(0.12, 0.3)), float(np.radians(rng.uniform(-10.0, 45.0)))
    if kind == "plain":
        return deflect(section, flap=PlainFlap(chord=chord), angle=angle), kind
    if kind == "split":
        return deflect_split(section, chord=chord, angle=abs(angle)), kind
    return section, kind


def strange(curve: LiftCurve) -> int:
    """Answers that no section can have, given without a mark."""
    return sum(
        p.cl is not None
        and not p.extrapolated
        and not (np.isfinite(p.cl) and abs(p.cl) < 5.0 and p.cd is not None and 0.0 < p.cd < 1.0)
        for p in curve.points
    )


def wide(sections: int, seed: int) -> None:
    """Random sections with random flaps from -4 to 26 degrees; prints what became of each point."""
    rng = np.random.default_rng(seed)
    angles = [float(a) for a in range(-4, 27)]
    kinds: dict[str, list[int]] = {}
    longest, undrawn, done = 0.0, 0, 0
    while done < sections:
        bare = four_digit(rng.uniform(0.0, 0.06), rng.uniform(0.2, 0.6), rng.uniform(0.09, 0.21))
        reynolds = float(10.0 ** rng.uniform(np.log10(0.7e6), np.log10(6e6)))
        critical = float(rng.choice((9.0, 9.0, 5.0, 2.6)))
        trip = None if rng.random() < 0.6 else float(rng.uniform(0.02, 0.3))
        try:
            section, kind = flapped(bare, rng)
        except (SectionError, RangeError):
            undrawn += 1  # the outline says itself why it cannot be drawn
            continue
        begin = time.process_time()
        curve = lift_curve(
            section,
            reynolds=reynolds,
            angles_deg=angles,
            transition=(trip, trip),
            critical_amplification=critical,
        )
        longest = max(longest, time.process_time() - begin)
        early, _, silent = count(curve)
        blended = sum(p.blended for p in curve.points)
        converged = sum(p.converged for p in curve.points)
        none = len(angles) - converged - blended
        got = [1, converged, blended, none, early, silent, strange(curve), curve.cl_max is not None]
        kinds[kind] = [a + int(b) for a, b in zip(kinds.get(kind, [0] * len(got)), got, strict=True)]
        done += 1
    print(
        "flap: sections, solved, blended, no answer (of them up to one past most lift), silent, strange, tops"
    )
    for kind, row in sorted(kinds.items()):
        print(f"{kind}: {row[0]}, {row[1]}, {row[2]}, {row[3]} ({row[4]}), {row[5]}, {row[6]}, {row[7]}")
    print(f"outlines refused: {undrawn}; longest curve {longest:.1f} s of processor time")


def hung(pairs: int, seed: int) -> None:
    """Random pairs with hung flaps from -4 to 26 degrees; prints what became of each point."""
    rng = np.random.default_rng(seed)
    angles = [float(a) for a in range(-4, 27)]
    whole = [0] * 8
    longest, undrawn, narrow = 0.0, 0, 0
    while whole[0] < pairs:
        main_section = four_digit(rng.uniform(0.0, 0.06), rng.uniform(0.2, 0.6), rng.uniform(0.09, 0.21))
        flap = four_digit(rng.uniform(0.0, 0.04), rng.uniform(0.2, 0.5), rng.uniform(0.09, 0.15))
        reynolds = float(10.0 ** rng.uniform(np.log10(0.7e6), np.log10(3e6)))
        chord, angle = rng.uniform(0.12, 0.3), np.radians(rng.uniform(-10.0, 40.0))
        aft, below, inside = rng.uniform(0.0, 0.06), rng.uniform(0.02, 0.08), rng.uniform(0.15, 0.35)
        trip = None if rng.random() < 0.6 else float(rng.uniform(0.02, 0.3))
        try:
            both = hung_flap(
                main_section,
                flap,
                chord=float(chord),
                axis_aft=float(aft),
                axis_below=float(below),
                axis_in_flap=float(inside),
                angle=float(angle),
            )
        except (SectionError, RangeError):
            undrawn += 1
            continue
        begin = time.process_time()
        curve = elements_lift_curve(both, reynolds=reynolds, angles_deg=angles, transition=(trip, trip))
        took = time.process_time() - begin
        longest = max(longest, took)
        early, _, silent = count(curve)
        blended = sum(p.blended for p in curve.points)
        converged = sum(p.converged for p in curve.points)
        none = len(angles) - converged - blended
        got = [1, converged, blended, none, early, silent, strange(curve), curve.cl_max is not None]
        whole = [a + int(b) for a, b in zip(whole, got, strict=True)]
        narrow += any(SLOT in p.warnings for p in curve.points)
        print(f"pair {whole[0]}: {got} {took:.1f} s", flush=True)
    print("pairs, solved, blended, no answer (of them up to one past most lift), silent, strange, tops")
    print(f"{whole[0]}, {whole[1]}, {whole[2]}, {whole[3]} ({whole[4]}), {whole[5]}, {whole[6]}, {whole[7]}")
    print(f"refused: {undrawn}; narrow slots: {narrow}; longest curve {longest:.1f} s of processor time")


def main() -> None:
    if sys.argv[1:2] == ["hung"]:
        hung(int(sys.argv[2]), seed=21)
        return
    if len(sys.argv) > 1:
        wide(int(sys.argv[1]), seed=20)
        return
    early = late = silent = total = 0
    begin = time.perf_counter()
    for seed, critical, transition in SERIES:
        rng = np.random.default_rng(seed)
        counts = [0, 0, 0]
        for _ in range(30):
            camber, place = rng.uniform(0.0, 0.06), rng.uniform(0.2, 0.6)
            thickness = rng.uniform(0.09, 0.21)
            reynolds = float(10.0 ** rng.uniform(np.log10(0.7e6), np.log10(6e6)))
            curve = lift_curve(
                four_digit(camber, place, thickness),
                reynolds=reynolds,
                angles_deg=ANGLES,
                transition=transition,
                critical_amplification=critical,
            )
            counts = [a + b for a, b in zip(counts, count(curve), strict=True)]
        print(f"seed {seed}, factor {critical:g}, trips {transition}: early {counts[0]}, late {counts[1]}")
        early, late, silent = early + counts[0], late + counts[1], silent + counts[2]
        total += 750
    took = time.perf_counter() - begin
    print(
        f"{early} of {total} ({100 * early / total:.2f} %) unanswered up to one angle past the largest lift,"
        f" {late} ({100 * late / total:.2f} %) beyond; {silent} without a reason;"
        f" {1e3 * took / total:.1f} ms an angle"
    )


if __name__ == "__main__":
    main()
