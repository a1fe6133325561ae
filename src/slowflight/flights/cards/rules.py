"""What is printed on every card: weather, stop conditions, cautions, crew and camera. In our own words."""

from __future__ import annotations

LOCAL_RULES = (
    "Local rules come first. Where this card and your authority, association, inspector, operating"
    " limitations or flight manual differ, follow them. This card is no approval."
)

WEATHER = (
    "Smooth, stable air: early morning, no thermals, wind below 10 kt at height",
    "Day, visual, the whole height band clear of cloud, a horizon all round",
    "No rain, frost, ice or wet wing; no gusts",
    "Over open country, clear of people, a field within gliding reach",
)

STOP = (
    "roll or yaw beyond 15 degrees that was not asked for",
    "any pitch-up, or the stick goes light or reverses",
    "full opposite aileron would be needed",
    "no stall warning, or one that comes after the stall",
    "the airspeed indicator freezes, blanks or jumps",
    "height lost 300 ft more than the clean wing lost",
    "anything odd: noise, shake, a loose vane or camera",
)
STOP_MEANS = "STOP: nose down, level, climb away, land, think. Nothing more that day."

CAUTIONS = (
    "Slow flight and stalls near the ground kill: start high, recover high.",
    "Change one thing at a time.",
    "Left and right match: count the vanes before every flight.",
    "Tail, warning and spin behavior may have changed: untried spins stay prohibited.",
    "The indicator may lie or die at high angles.",
    "Approach speed, weight and load limits stay as they are.",
    "A prediction is no measurement.",
    "A missing approval may void airworthiness and insurance.",
    "Seek a pilot with test experience and a licensed engineer.",
)

CREW = (
    "Only the crew the rules require; a second person only where the rules allow one, and then trained",
    "No first stall with a new row alone and unwatched: tell an observer where, when, and when to call",
    "Harness tight, loose items out, canopy or door jettison and any parachute briefed, with the height at"
    " which hands go off the controls",
    "Spin recovery of this very type said aloud before take-off",
)

CAMERA = (
    "Camera and phone fixed before start-up on mounts that an inspector has seen, each with a tether, clear"
    " of controls, sensors, exits and vanes; running before take-off",
    "Nobody holds, aims or reads one in slow flight; speak every number aloud: sound is the spare log",
    "Shoot short exposures (1/250 s or shorter); clap once on the ground to match sound, picture and log",
)

ENDINGS = (
    "How it ended: N nose drops by itself; F stick fully aft two seconds, speed steady, sinking; W a wing"
    " drops and is not held at once; E recovered early, at the warning; U unusable (gust, skid, power, bank"
    " over 5 degrees)."
)
