"""Which words of the trade and of plain English do the rules ask for?"""

import re

# Verbs with which a step may begin, in their base form.
VERBS = frozenset(
    ["add", "adjust", "clip", "unclip", "swap", "switch", "photograph", "stick", "strip", "seat", "tape", "tip", "unwrap", "align", "apply", "attach", "bleed", "blow", "bolt", "bounce", "break", "bring", "brush", "charge", "check", "clamp", "clean", "clear", "click", "close", "collect", "compare", "compress", "connect", "count", "cover", "crack", "cut", "cycle", "decide", "deflate", "degrease", "dispose", "do", "drain", "drape", "draw", "drip", "drive", "drop", "dry", "empty", "enter", "equalise", "examine", "extend", "fasten", "feel", "fetch", "fill", "find", "fit", "fold", "free", "go", "grease", "guide", "hand", "hang", "heat", "hold", "hook", "inflate", "inject", "insert", "inspect", "install", "keep", "label", "lay", "leave", "let", "lift", "line", "listen", "load", "lock", "look", "loosen", "lower", "lubricate", "make", "mark", "measure", "mix", "mount", "move", "note", "oil", "open", "park", "pick", "pinch", "place", "point", "position", "pour", "press", "pressurise", "pull", "pump", "push", "put", "raise", "reach", "read", "rebuild", "recheck", "record", "reduce", "refit", "release", "remove", "repeat", "replace", "reset", "rest", "ride", "rinse", "roll", "rotate", "run", "say", "screw", "seal", "seat", "select", "set", "shake", "show", "sit", "slide", "slip", "soak", "spin", "split", "spray", "spread", "squeeze", "stand", "start", "stop", "store", "support", "sweep", "swing", "take", "tap", "tell", "test", "thread", "throw", "tie", "tighten", "tilt", "torque", "touch", "transfer", "trim", "try", "turn", "twist", "undo", "unhook", "unscrew", "use", "walk", "wait", "warm", "wash", "watch", "wear", "weigh", "wet", "wind", "wipe", "withdraw", "work", "wrap", "write", "collect", "quarantine", "prise", "ease"]
)  # fmt: skip
CONDITIONS = ("if", "when", "before", "after", "until", "unless", "while", "where", "once", "with", "without", "on", "in", "at", "from", "for", "to", "then", "now", "again", "slowly", "gently", "only")
INJURY = re.compile(
    r"\b(injur\w*|wound\w*|eyes?|burn\w*|crush\w*|fingers?|hands?|skin|face|poison\w*|breath\w*|inhal\w*|blind\w*|sight|hearing|tooth|teeth|death|die|dies|fatal|kill\w*|"
    r"bruise\w*|lungs?|dizz\w*|fall|cuts?|pinch\w*|hurt\w*|irritat\w*|allerg\w*|rash|crash|rider)\b", re.IGNORECASE
)  # fmt: skip
NO_INJURY = re.compile(r"hand-tight|by hand|cut seals?|cuts? the (?:seal|ring|lip|o-ring)|pinch(?:es)? the (?:seal|ring|o-ring)|eyelets?|cut ring", re.IGNORECASE)
DAMAGE = re.compile(
    r"\b(damag\w*|leak\w*|scratch\w*|scor\w*|swell\w*|wear\w*|ruin\w*|contaminat\w*|stain\w*|strip\w*|deform\w*|score\w*|fail\w*|lose[sd]?|loses?|drown\w*|corro\w*|tear\w*|cut\w*|pinch\w*|bend\w*|crack\w*|"
    r"harsh|brak\w*|wrong|drag\w*|mark\w*|short\w*|creep\w*|loosen\w*|comes? (?:off|loose|out)|blow\w*|dent\w*|break\w*|useless|stick\w*|stuck|grows?|spoil\w*|twist\w*|squeal\w*|soft)\b", re.IGNORECASE
)  # fmt: skip
HAZARD = re.compile(
    r"\b(air|pressur\w*|gas|charge|spring\w*|force|energy|ejected|eject\w*|ring|edges?|sharp|oil|solvent|vapour\w*|flammable|adhesive|threadlocker|hot|heat\w*|heavy|weight|pinch\w*|moving|moves?|slip\w*|"
    r"contaminat\w*|dirt|grit|grease|lint|tool|tip|pick|lever|torque|thread\w*|vice|clamp|jaws?|tilted|lip|seal\w*|valve|nitrogen|load\w*|stretch\w*|alcohol|flame\w*|knob|water|rag|plier\w*|bolt\w*|shaft|cap)\b", re.IGNORECASE
)  # fmt: skip
EMPTY = re.compile(
    r"\b(be careful|use caution|take care|pay attention|as necessary|as needed|properly|with due care|carefully|correctly|appropriately|adequately|suitabl[ey]|as appropriate)\b", re.IGNORECASE
)  # fmt: skip
FEELINGS = re.compile(r"\b(problems?|issues?|bad results?|dangerous|unsafe|may be harmful|be careful)\b", re.IGNORECASE)
WORK = ("unscrew", "remove", "install", "press", "pull", "drain", "fill", "tighten", "torque", "inject", "disassemble")
SIMULTANEOUS = re.compile(r"\bwhile\b|\bat the same time\b|\b(?:hold|keep|push and hold)\b.*\band\b", re.IGNORECASE)
PASSIVE = re.compile(r"\b(?:is|are|was|were|be|been|being)\s+(?:\w+ly\s+)?(\w+(?:ed|en))\b", re.IGNORECASE)
STATES = frozenset(["closed", "seated", "worn", "fitted", "loosened", "tightened", "covered", "locked", "wetted", "unloaded", "cracked", "extended", "compressed", "guarded", "inflated", "deflated", "greased", "oiled", "cleaned", "clamped", "open", "hidden", "tilted", "threaded", "aligned", "needed", "lined", "damaged", "marked", "twisted", "bonded", "used"])
MODAL = re.compile(r"\b(should be|must be|is to be|has to be|have to be|need to|needs to)\b", re.IGNORECASE)
VAGUE = re.compile(r"\b(about|some|a little|approximately|enough|as required|snug(?:ly)?|firmly|tight(?:ly)?)\b(?!-)", re.IGNORECASE)
PREFERRED = (
    (re.compile(r"\b(ensure|verify)\b", re.IGNORECASE), "make sure"),
    (re.compile(r"\bcheck that\b", re.IGNORECASE), "make sure that"),
    (re.compile(r"\b(perform|carry out)\b", re.IGNORECASE), "do"),
    (re.compile(r"\butili[sz]e\b", re.IGNORECASE), "use"),
    (re.compile(r"\bprior to\b", re.IGNORECASE), "before"),
    (re.compile(r"\bsubsequent to\b", re.IGNORECASE), "after"),
    (re.compile(r"\b(commence|initiate)\b", re.IGNORECASE), "start"),
    (re.compile(r"\bterminate\b", re.IGNORECASE), "stop"),
    (re.compile(r"\bshould\b", re.IGNORECASE), "must"),
)
PHRASAL = re.compile(r"\b(set up|find out|carry out|put up|top off)\b", re.IGNORECASE)
ALIASES = {
    "upper tube": "stanchion", "lowers": "lower leg", "slider": "lower leg", "crown cap": "top cap", "air rod": "air shaft", "end plug": "seal head",
}  # fmt: skip
TOOLS = (
    "shock pump", "valve core tool", "six-point socket", "hex key", "torque wrench", "internal ring pliers", "ring pliers", "plastic mallet", "soft jaw", "shaft clamp",
    "seal driver", "seal pick", "syringe", "calliper", "measuring cylinder", "drain tray",
)  # fmt: skip
TOOL_ALIASES = {
    "ring pliers": ("internal ring pliers", "ring pliers"), "internal ring pliers": ("ring pliers", "internal ring pliers"),
    "soft jaw": ("soft jaw", "soft-jaw"), "hex key": ("hex key",), "six-point socket": ("six-point socket", "socket"),
}  # fmt: skip

# What a step does (a pattern over its text), and the words of which a message that covers it has at least one.
TRIGGERS = (
    ("residual pressure", r"\b(?:unscrew|remove|open|take|turn)\b[^.]{0,40}\b(?:top cap|air can|seal head|valve core|reservoir|end eye)\b(?![^.]*\b(?:in|on|clockwise until)\b$)", r"pressur|\bair\b|trapped|charge"),
    ("ejected air and oil", r"\b(?:press|push)\b[^.]{0,30}\bvalve (?:pin|core)\b|\brelease the air\b|\blet (?:out )?(?:all )?(?:the )?air(?: out)?\b", r"\bair\b|oil|eject|spray|mist|pressur"),
    ("flying ring", r"\b(?:remove|install|take|walk|squeeze|pull|set|let)\b[^.]{0,40}\b(?:retaining ring|snap ring|circlip|eyelet ring|prong ring)\b", r"\bring\b|spring|fly"),
    ("flammable vapour", r"\b(?:apply|spray|wet|wipe|clean)\b[^.]{0,50}\b(?:solvent|isopropyl alcohol|brake cleaner)\b", r"vapour|flamm|fire|solvent"),
    ("burn or fire", r"\bheat\b[^.]{0,30}\b(?:bolt|threadlocker)\b", r"burn|hot|fire"),
    ("skin sensitiser", r"\bapply\b[^.]{0,30}\bthreadlocker\b", r"skin|threadlocker|adhesive"),
    ("pinched hand", r"\b(?:press|drive)\b[^.]{0,30}\b(?:wiper|bushing)\b|\bclose\b[^.]{0,20}\b(?:vice|vise)\b", r"pinch|finger|crush"),
    ("slipping, and oil on the brake", r"\b(?:drain|pour)\b[^.]{0,30}\boil\b", r"oil|slip|brake|floor"),
    ("overpressure", r"\binflate\b[^.]{0,30}\b(?:shock|fork|air can|chamber)\b", r"pressur|inflat|over|\bair\b"),
    ("gas charge", r"\bcharge\b[^.]{0,30}\b(?:nitrogen|gas)\b", r"gas|nitrogen|charge|pressur"),
)  # fmt: skip
