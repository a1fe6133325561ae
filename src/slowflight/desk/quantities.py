"""What each quantity on the pages is: one plain sentence, and one for the engineer."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, kw_only=True)
class Quantity:
    """One quantity.

    Parameters
    ----------
    name : str
        As the pages call it.
    plain : str
        One sentence without symbols.
    engineer : str
        One sentence: definition, reference, sign.
    """

    name: str
    plain: str
    engineer: str


def _of(*told: tuple[str, str, str]) -> tuple[Quantity, ...]:
    return tuple(Quantity(name=name, plain=plain, engineer=engineer) for name, plain, engineer in told)


QUANTITIES: dict[str, tuple[Quantity, ...]] = {
    "wing": _of(
        (
            "Weight as flown",
            "Everything that leaves the ground: aircraft, crew, fuel and bags.",
            "Mass; stall speeds go with its square root, and every predicted speed is at this mass.",
        ),
        (
            "Slowest speed shown",
            "What the dial stood at when the wing would carry no more, power off.",
            "Indicated airspeed at the stall, 1 g, idle, with position and instrument error, which grow at"
            " high angles.",
        ),
        (
            "Ground attitude",
            "How steep the fuselage stands with all wheels on the ground.",
            "Pitch of the line from which incidence is measured, three-point, nose up positive; with the"
            " incidence it gives the wing's angle at a three-point touchdown.",
        ),
        (
            "Chord line against the door sill",
            "How much steeper the wing sits than the fuselage.",
            "Incidence of the root chord line against the same fuselage line, nose up positive.",
        ),
        (
            "Chord",
            "The wing from its nose straight back to its trailing edge.",
            "Reference length of the main section, flap not counted; areas and coefficients are on it.",
        ),
        (
            "Washout",
            "How much less steep the wing stands out there than at its root.",
            "Twist against the root section, nose down positive; it moves where the span stalls first.",
        ),
        (
            "Section",
            "The shape of the wing if you cut through it like a loaf.",
            "Airfoil coordinates along and above the chord line; its first few per cent decide maximum lift.",
        ),
        (
            "Flap setting",
            "How far the trailing edge is drooped.",
            "Deflection from neutral, trailing edge down positive.",
        ),
    ),
    "question": _of(
        (
            "Place",
            "How far back from the nose the vanes stand.",
            "Station: forward tip of the vane, share of the local chord along the chord line.",
        ),
        (
            "Density altitude",
            "How high the air feels to wing and engine, which on a hot day is higher than the hill.",
            "Height in the standard atmosphere at which the density is that of the day; it converts true and"
            " calibrated speed and sets the Reynolds number.",
        ),
        (
            "Cruise you would give up",
            "How many knots of cruise the row may cost before you would take it off again.",
            "Price of the trade: rows whose predicted loss of true airspeed at unchanged power exceeds it are"
            " not chosen.",
        ),
        (
            "Height",
            "How tall a vane stands off the skin.",
            "Above the local skin; what counts is its ratio to the thickness of the boundary layer there.",
        ),
        (
            "Pitch and gap",
            "How far it is from one pair to the next, and between the two of a pair.",
            "Pitch: period along the span; gap: between the forward tips of a pair.",
        ),
        (
            "Toe",
            "How far a vane is turned out of the wind.",
            "Incidence of the vane against the flight direction, in the plane of the skin.",
        ),
    ),
    "prediction": _of(
        (
            "Stall speed",
            "The slowest speed at which the wing still carries the weight, engine idling.",
            "Calibrated airspeed at the wing's maximum lift, 1 g, at the given mass; no thrust or tail load"
            " counted.",
        ),
        (
            "Fall",
            "How many knots slower the wing stalls with the row than without it.",
            "Clean stall speed less that with the row, computed in the same tier on the same grid, so that"
            " errors common to both cancel.",
        ),
        (
            "Band",
            "The range in which the true value is expected; a wide one means: not well known.",
            "Spread of inputs and method about the value; without measured cases with vanes, the effect of a"
            " row has a band as wide as itself.",
        ),
        (
            "Uncalibrated",
            "No measured wing with vanes has been used to set this number right.",
            "No factor fitted to measured increments enters; the mixing of vortices is marched from geometry"
            " alone.",
        ),
        (
            "Nose up",
            "How steep you hold the fuselage, flying level.",
            "Pitch in level flight; wing angle is pitch plus incidence, the angle of the root chord line.",
        ),
        (
            "The air has let go",
            "Behind this place the air no longer follows the skin but tumbles along with it.",
            "Separation: first sustained reversal of the skin friction on the upper side that reaches the"
            " trailing edge, share of chord.",
        ),
        (
            "What stops you first",
            "Wing, elevator, wheels or engine: whichever ends the slowing down.",
            "What binds the least speed: maximum lift, elevator travel, three-point attitude or thrust.",
        ),
        (
            "Past its own maximum",
            "This part of the span has stalled, whatever the rest of the wing still does.",
            "Sections whose local lift is past the maximum of their own curve in the lifting-line solution.",
        ),
        (
            "A trend",
            "Read whether it is more or less, not how much.",
            "Outside what the method was checked on, such as a flap far down: sign and rank only.",
        ),
        (
            "Tier",
            "Which of two ways of computing gave the number: the quick one or the thorough one.",
            "Quick: coupled panels and boundary-layer integrals; minutes: averaged Navier-Stokes equations"
            " on a grid around the section.",
        ),
    ),
    "layout": _of(
        (
            "Along the skin",
            "What a tape laid on the wing shows, from the foremost point of its nose.",
            "Arc length of the surface from the leading-edge tangent to the vane's forward tip; longer than"
            " the distance along the chord.",
        ),
        (
            "Hand A and B",
            "Two mirror-image vanes, which lean to different sides.",
            "Seen square to the skin from outside, front up: A has its forward tip left of the trailing tip,"
            " B right of it.",
        ),
        (
            "Toe, with its sign",
            "Which way a vane is turned: plus and minus are the two hands.",
            "Positive where the forward tip lies outboard of the trailing tip, on either wing.",
        ),
        (
            "Left and right match",
            "Both wings carry the same vanes in the same places, so that neither drops first.",
            "Within 2 mm along the skin, 3 mm along the span, 1 degree of toe; common practice, no source.",
        ),
    ),
    "flights": _of(
        (
            "A stall that counts",
            "One slow-down, idle, wings level, that ended as it should and that nobody struck.",
            "Event accepted by its own tests of load factor, entry rate, power and record; a strike needs a"
            " reason, which stays.",
        ),
        (
            "Entry rate",
            "How quickly the speed was let go before the stall.",
            "Rate of loss of calibrated airspeed ahead of the stall; stall speeds are read at 1 kt/s.",
        ),
        (
            "Load factor",
            "How many times its own weight the wing was carrying at that moment.",
            "Normal acceleration over gravity; speeds are brought to 1 g.",
        ),
        (
            "Panel and true",
            "What your indicator shows, and what the speed really was.",
            "Position error from legs both ways against satellite speed, as a curve over indicated speed; not"
            " extended beyond what was flown.",
        ),
        (
            "Center of gravity",
            "The point at which the loaded aircraft balances.",
            "Share of the mean chord; sets that differ by more than 2 % are not compared.",
        ),
    ),
    "decision": _of(
        (
            "Verdict",
            "What the flights say: keep, move, remove, or fly more.",
            "Decision rule fixed before the first flight, on gain, cruise loss and handling; a red finding"
            " outranks any speed.",
        ),
        (
            "Gain, likely from to",
            "How many knots slower it stalls with the vanes, and how far that may be off.",
            "Difference of mean stall speeds from a mixed model with flights as the replicate, and its 90 %"
            " band with all stated errors.",
        ),
        (
            "8 in 10 that it beats 1 kt",
            "Of ten such answers, eight would be right that the gain is worth having.",
            "Probability that the gain exceeds the threshold fixed beforehand, rounded down.",
        ),
        (
            "Green, amber, red",
            "As before; watch it; take them off.",
            "Handling findings against stated limits; not flown is none of the three.",
        ),
        (
            "A cruise loss ruled out",
            "The flights are good enough to say that cruise did not suffer by that much.",
            "Equivalence: the band of the loss ends before the margin, by two one-sided tests.",
        ),
    ),
}
STEPS: tuple[tuple[str, str, str], ...] = (
    (
        "start",
        "Six numbers, one hour",
        "Tape: span, tip to tip, and chord, nose to trailing edge. Scales or weight sheet: weight as flown."
        " Phone laid on the door sill: ground attitude. Your memory: slowest speed shown, power off.",
    ),
    (
        "prediction",
        "A first prediction, some minutes",
        "With a look-alike section, marked a guess. Read the band, not the number: it says how little is"
        " known yet.",
    ),
    (
        "wing",
        "What to measure next",
        "The wing's page lists it by knots of band. First of all a rib: lay both cards beside it, photograph"
        " it square with the phone, take it in here.",
    ),
    (
        "question",
        "Your question",
        "Your day, the cruise you would give up, where a row may stand: never on or ahead of a moving control"
        " without its designer's word.",
    ),
    (
        "layout",
        "A row in tape, one morning",
        "Print at 100 %, check the bars with the ruler, tape the template on, then the vanes. Measure them"
        " where they are: left and right have to match.",
    ),
    (
        "flights",
        "Three flights before, three after",
        "Phone or recorder on board, logging. Stalls at idle at 5,000 ft above ground or higher, slowing one"
        " knot a second. The clean flights come first.",
    ),
    (
        "decision",
        "The decision",
        "Keep, move, remove, or fly more: with its band, and with what was wrong with the prediction.",
    ),
)
