"""What stands beside every prediction that could be acted on. In our own words; common practice."""

from __future__ import annotations

PREDICTION_CAUTIONS = (
    "Slow flight and stalls kill. This is a prediction: it clears no wing to be flown slower. Only"
    " flights do, with"
    " height enough to end a spin, within the aircraft's limits, by a pilot in practice.",
    "Before anything is glued on: ask your authority or inspector what approval the change needs, and"
    " follow it.",
    "Fly slower approaches only after the stalls of the changed aircraft are measured, flaps up first. A"
    " lower stall"
    " speed on paper is no lower approach speed.",
    "Vanes change how a wing stalls, not only when: a wing drop, a lost warning or a spin that is slow to end"
    " outranks any knot gained.",
    "The stall warning was set for the clean wing. With vanes it may come late, early or not at all.",
    "More lift at a given speed is also more load: maneuvering speed goes down with the stall speed,"
    " never up.",
    "No vanes on a moving control surface. They change its balance and can start flutter.",
)
