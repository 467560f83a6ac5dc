"""Which published rule has the same form as one of this shop's?

These rules bind other trades and no bicycle workshop. They are yardsticks: a screen says "inspired
by", never more. Each was read in a public copy, or (marked so) in a secondary account.
"""

YARDSTICKS: dict[str, str] = {
    "stood-down": "29 CFR 1910.178(l)(4)(ii): after a near miss, refresher and evaluation at once",
    "sign-off": "29 CFR 1910.178(l)(4)(iii): an evaluation at least once in three years",
    "signer": "14 CFR 65.81(a): nobody approves work that they have not done well themselves",
    "practice": "ISO 9606-1, 9.2 and ASME IX, QW-322.1 (secondary accounts): lapses when not "
    "used for six "
    "months",
    "changes": "29 CFR 1910.119(l)(3): trained on a change before it takes effect",
    "readings": "14 CFR 65.103(b): no work without knowing the current instructions",
    "quiz": "49 CFR 172.702(d): each person is tested on what the training was about",
    "watched-jobs": "29 CFR 1910.178(l)(2): learns only under somebody able to train and to judge",
    "observations": "AMC1 145.A.30(e): assessed at work before working unsupervised",
}
