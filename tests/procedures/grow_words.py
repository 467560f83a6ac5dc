"""Which names, lines and blocks are grown write-ups made of? All invented: no value here is for a
real fork.
"""

PARTS = ["lower legs", "air piston", "main seal", "foam ring", "off", "32", "yes"]
FACTS = ["fork in the stand", "bench clean", "oil drained", "on", "no"]
VARIANTS = {
    "ring": ["eyelet", "prong"],
    "bumper": ["fitted", "none"],
    "off": ["yes", "no", "32"],
    "travel": ["140", "150", "160"],
}
STEMS = ["lower-leg-removal", "air-spring-service", "travel-change", "Damper Bleed"]
SOURCES = {"air chamber": "air let out", "damper": "oil drained", "coil": "spring slack"}
SAME = [
    ["air let out", "Depressurised"],
    ["lower legs", "sliders"],
    ["sliders", "Lowers"],
    ["bench clean", "tidy bench"],
]
TEMPORARY = ["shaft guarded", "shaft in the vise", "wedge in place"]
STATES = [
    ["feet up", "feet down", "feet level"],
    ["shaft guarded", "shaft bare"],
    ["depressurised", "air in"],
    ["tidy bench"],
]
MORE_FACTS = ["feet up", "feet down", "feet level", "shaft bare", "air in", "goggles on"]
TOOLS = ["shock pump", "8 mm hex key", "ring pliers"]
USED = ["suspension oil", "clean rag", "oil", "grease"]
NAMED = [
    "air under pressure",
    "Sharp  ring",
    "sharp",
    "SHARP RING",
    "stays in",
    "press",
    "it",
    "late word",
]
GOOD_LINES = [
    "tool: ring pliers; Shock Pump",
    "uses: Suspension  oil 1,5 mL; clean rag",
    "torque: 28 ± 2 N·m",
    "torque: top cap 28 N·m ± 10 %",
    "measure: sag 20..30 %",
    "measure: 1,5 .. 2,5 mm",
    "uses: suspension oil 1 mL",
    "uses: clean rag",
    "tool: shock pump; 8 mm hex key",
    "hold: yes",
    "critical: a cap under pressure can blind; look away",
    "check: shaft free of scratches | replace the shaft",
    "torque: 3,5 ft·lbf; seal head 7 in·lbf",
    "uses: oil 5 mL; grease 2 g",
]
BAD_LINES = [
    "torque: 28",
    "torque: 28 bar",
    "torque: tight",
    "measure: 30..20 %",
    "uses: suspension oil 1 furlong",
    "measure: sag 20 ± 5",
    "needs:",
    "opens:",
    "note: look here",
    "just a line",
    "torque: foot nut 9 ± 1 mL",
    "measure: 5 N·m ± 2 psi",
    "uses: oil 5",
    "after:",
]
GOOD_BODY = [
    "Press the valve core until the hiss stops.",
    "- Wipe it.\n- Look again.",
    "Turn to [[28 N·m]] and stop.",
    "![which end up](drawing:glide-ring-taper)",
    "```\n## Not a phase\n### Not a step {#nothing}\nneeds: nothing\n[[5 nothing]]\n\nmakes: "
    "nothing\n```",
    "~~~text\ntorque: 5\n~~~",
    "| reading | says |\n|---|---|\n| 20 % | good |",
    "Wait for [[10 min]], then go on.\nThe rest of the paragraph.",
    "Slide it on.\nneeds: a line inside a paragraph is text",
]
BAD_BODY = [
    "Turn to [[28 bananas]] and stop.",
    "needs: something",
    "torque: 5 N·m is right.",
    "Fill [[9 .. 3 mL]].",
    "Fill in [[5]] of it.",
]
CAUTIONS = [
    '!!! {0} "{1}"\n    hazard: Air stays in it.\n    harm: A cap let go can blind.\n    '
    "avoid: Let the air out first.",
    '!!! {0} "{1}"\n    Free text, in two lines,\n    needs: no three lines.',
    '!!! {0} "{1}"\n\n    hazard: Sharp ring.\n\n    harm: It cuts.',
]
