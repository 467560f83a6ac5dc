"""Which words does the proofing know: verbs of the trade, injuries, hazards, parts, tools?

The lists are this trade's (common practice, no source) unless a line says otherwise. They grow by
review.
"""

import re


def list_words(text: str) -> frozenset[str]:
    return frozenset(text.split())


VERBS = list_words(
    """
    add adjust aim air align apply arrange ask assemble attach balance be begin bleed block blow
    bolt bring brush bump call cap carry catch centre change charge check choose clamp clean
    clear clip close coat collect compare compress confirm connect continue count cover crack cut
    cycle deflate disassemble discard disconnect dismantle dispose do dip drain draw drill drive
    drop dry ease empty engage ensure equalise examine expand extend extract fasten feed feel
    fetch file fill find finish fit flip flush fold follow free get give go grasp grease grip
    guard guide hammer hand hang heat hold identify inflate inject insert inspect install isolate
    join keep label lay leave let level lever lift line listen load locate lock look loop loosen
    lower lubricate make mark match measure mix mount move note oil open pack park peel perform
    photograph pick pinch place plug point polish position pour prepare press pressurise prise
    protect prove pry pull pump push put quarantine raise reach read reassemble recharge record
    reconnect refer refill refit reinstall release remove renew repeat replace report reset
    restore retain return reverse rinse rock roll rotate rub run scrape screw scribe seal seat
    secure see select send separate set shake shave shine show shut sign sit slacken slide snap soak
    soap space spin spray spread squeeze stand start stay stick stop store straighten strap strip
    stroke support swap sweep swing switch take tag tap tell test thread throw tie tighten tilt
    top torque touch transfer trim try turn twist unclamp unclip unbolt undo unfold unhook unload
    unlock unplug unscrew unthread untie use utilise vent ventilate verify wait walk warm wash
    watch wear wedge weigh wind wipe withdraw work wrap write
    """
)
# Verbs that are names of things too: after “and” they count as a verb only where the next word
# shows it (“lock ring”).
NAMES_TOO = list_words(
    """
    air block bolt brush bump cap catch change charge check clamp clip coat count cover crack cut
    cycle drain draw drill drive drop ease feed feel file fill finish fit fold free go grease
    grip guard guide hammer hand hang heat hold inject join label lay level lever lift line load
    lock look lower make mark match measure mix mount move note oil open pack park peel pick
    pinch place plug point polish position press pull pump push reach record release report rest
    return reverse roll rub run scrape screw seal seat set shake shine show sit slide snap soak
    soap space spin spray spread squeeze stand start stay stick stop store strap strip stroke
    support swap sweep swing switch tag tap test thread throw tie tilt top torque touch transfer
    trim turn twist use vent wait walk warm wash watch wear wedge wind wipe work wrap
    """
)
LEADS = list_words(
    """
    if when whenever before after until unless while once with without at from in for on during
    by as to under where
    """
)

# ANSI Z535.4 speaks of injury; the words are the list of the rule set, with a few more from review.
INJURY = re.compile(
    r"\b(?:injur\w*|wounds?|eyes?|burns?|burned|cuts?|crush(?:es|ed)?|pinch(?:es)?|fingers?|hands?|skin|face|poison\w*|breath\w*|inhal\w*"
    r"|sight|hearing|tooth|teeth|deaths?|fatal\w*|blind\w*|kills?|die|dies|hurts?|bruis\w*|lungs?|scald\w*|choke\w*|amputat\w*|fractur\w*)\b",
    re.IGNORECASE,
)
NOT_INJURY = re.compile(
    r"\bhand-tight\b|\bby hand\b|\bcut seals?\b|\bpinched\b|\beyelets?\b"
    r"|\b(?:cuts?|pinch(?:es)?|burns?|crush(?:es)?)\s+(?:through\s+)?(?:the|a|an|every|each|any|new)\s+(?:[\w-]+\s+){0,2}?(?:seals?|o-rings?|rings?|wipers?|lips?|hoses?|threads?|bushings?|finish)\b",
    re.IGNORECASE,
)
SEVERE = re.compile(
    r"\b(?:deaths?|die|dies|kills?|fatal\w*|blind\w*|serious\w*|severe\w*|amputat\w*|(?:loss "
    r"of|lose) (?:sight|hearing|an eye|a finger))\b",
    re.IGNORECASE,
)
DAMAGE = re.compile(
    r"\b(?:damag\w*|scratch\w*|leak\w*|spoil\w*|spoils|break\w*|broke\w*|crack\w*|bend\w*|bent"
    r"|dent\w*|burst\w*|fail\w*|contaminat\w*|wears?|worn"
    r"|corro\w*|rusts?|ruin\w*|tears?|torn|swell\w*|jam\w*|binds?|strip(?:s|ped)|scrap\w*"
    r"|loosens?|score[sd]?|destroy\w*|cuts?|melt\w*|stain\w*)\b",
    re.IGNORECASE,
)
HARM = re.compile(
    r"\b(?:falls?|slips?|hit|hits|strikes?|struck|thrown?|throws?|lock(?:s|ed)?|fires?|explo\w*|flies|fly"
    r"|comes? off|lets? \w+ (?:in|out)|sinks?|los\w+|stops?)\b",
    re.IGNORECASE,
)
FEELINGS = re.compile(
    r"\b(?:problems?|issues?|bad results?|dangerous|unsafe|may be harmful|be careful|trouble)\b",
    re.IGNORECASE,
)

# Hazards by what they come from; the names are those of the rule set (SM-04) and of the trade.
HAZARDS = {
    "pressure": r"pressur\w*|compressed air|gas charge|trapped air|air|vacuum",
    "spring force": r"spring force|stored energy|spring|preload|retaining ring|snap ring|circlip",
    "ejected part": r"eject\w*|fl(?:y|ies|ying)|projectile",
    "edge": r"(?:sharp|thread|metal|outer|groove) (?:\w+ )?edges?|blade|burrs?",
    "oil": r"oil|grease|fluid",
    "flammable": r"solvents?|vapours?|flammable|alcohol|fumes|fire|flames?|brake cleaner",
    "adhesive": r"adhesives?|threadlocker|resin",
    "heat": r"hot|heat\w*",
    "weight": r"heavy|weight",
    "pinch point": r"pinch\w*|nip point|moving|jaws?",
    "slip": r"slip\w*|trip\w*",
    "contamination": r"contamina\w*|dirt|dust|water",
}
HAZARD = {name: re.compile(rf"\b(?:{words})\b", re.IGNORECASE) for name, words in HAZARDS.items()}
# IEC/IEEE 82079-1: a harm that everybody sees may go unsaid
SELF_EVIDENT = re.compile(r"\b(?:sharp|hot|heavy)\b", re.IGNORECASE)

VAGUE_MANNER = re.compile(
    r"\b(?:be careful|careful(?:ly)?|use caution|with caution|take care|with (?:due "
    r")?care|pay attention|as necessary|as needed|if necessary|properly|appropriately)\b",
    re.IGNORECASE,
)
VAGUE_QUANTITY = re.compile(
    r"\babout (?=\d|an? |one |two |three |half )|\bsome\b|\ba "
    r"little\b|\bapproximately\b|\benough\b|\bas "
    r"required\b|\bsnug(?:ly)?\b|\bfirmly\b|(?<!-)\btight(?:ly)?\b(?!-)",
    re.IGNORECASE,
)
FULLY = re.compile(r"\bfully\b", re.IGNORECASE)

# One name for one thing: the name to use, and the ones that say the same.
NAMES = {
    "stanchion": r"upper tubes?",
    "lower leg": r"lowers|sliders?",
    "top cap": r"crown caps?",
    "air shaft": r"air rods?",
    "seal head": r"end plugs?",
}
ANY_BANNED_NAME = re.compile(rf"\b(?:{'|'.join(NAMES.values())})\b", re.IGNORECASE)
BANNED_NAMES = {
    name: re.compile(rf"\b(?:{words})\b", re.IGNORECASE) for name, words in NAMES.items()
}

TOOLS = {
    "shock pump": r"shock pump",
    "valve-core tool": r"(?:valve[- ])?core tool",
    "six-point socket": r"six-point socket",
    "hex key": r"hex keys?|hex wrench",
    "torque wrench": r"torque wrench",
    "internal ring pliers": r"(?:internal |snap |retaining ){0,3}ring pliers|circlip pliers",
    "mallet": r"mallet",
    "vise": r"vi[sc]e",
    "shaft clamp": r"shaft clamps?",
    "seal driver": r"seal driver|wiper driver",
    "seal pick": r"(?:seal|plastic|brass|o-ring) pick|with (?:a|the) pick",
    "syringe": r"syringe",
    "calliper": r"(?<!brake )call?iper",
    "measuring cylinder": r"measuring cylinder",
    "drain tray": r"drain tray",
    "lamp": r"lamp|torch",
    "ruler": r"ruler",
    "heat gun": r"heat gun",
    "screwdriver": r"screwdriver",
    "spanner": r"(?:open-end |ring )?(?:spanner|(?<!torque )(?<!hex )wrench)",
    "camera": r"camera",
}
# one look before twenty
ANY_TOOL = re.compile("|".join(rf"\b(?:{words})\b" for words in TOOLS.values()), re.IGNORECASE)
TOOL = {name: re.compile(rf"\b(?:{words})\b", re.IGNORECASE) for name, words in TOOLS.items()}

# Things that are counted: they take an article, and stand in rows of nouns. Names of two words are
# one thing.
TERMS = (
    "lower leg",
    "top cap",
    "air shaft",
    "seal head",
    "foot bolt",
    "valve core",
    "valve pin",
    "valve cap",
    "air spring",
    "air can",
    "retaining ring",
    "back-up ring",
    "foam ring",
    "glide ring",
    "crush washer",
    "dust wiper",
    "rebound knob",
    "end eye",
    "damper leg",
    "spring leg",
    "shock pump",
    "torque wrench",
    "drain tray",
    "lock ring",
    "bumper housing",
    "piston seal",
    "shaft seal",
    "travel spacer",
    "test wheel",
    "job sheet",
)
THINGS = list_words(
    """
    axle bearing bleed body bolt bore bottle bumper bushing cap cartridge casting chamber clamp
    collar cone core crown cup cylinder damper disc end eyelet eye fork frame gasket groove guard
    guide handle head hole hose housing key knob label leg lever lip nut o-ring pad pick pin
    piston plate plug port pump rag reservoir rim ring rod rotor screw seal shaft shim shock
    sleeve socket spacer spring stanchion stand syringe tag thread tool tray tube tyre valve vise
    washer wheel wiper wrench x-ring
    """
)
