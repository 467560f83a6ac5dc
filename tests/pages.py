"""Which status does each route answer to each kind of person?

A route that is missing here fails the suite (tests/architecture/test_routes.py). Statuses are for
the small shop of tests/training/shop.py, with somebody ready to be signed off, an open draft, an
ended and an open sitting and a stand-down.
"""

from dataclasses import dataclass

TRADES = ("trainee", "mechanic", "senior", "owner")
SIGN_IN = 302  # somebody who is not signed in is sent to the sign-in page


@dataclass(frozen=True)
class Route:
    """One route: its arguments by name in the shop, the method, and the status for each trade; then
    for nobody.
    """

    name: str
    args: tuple[str, ...]
    trainee: int
    mechanic: int
    senior: int
    owner: int
    method: str = "get"
    nobody: int = SIGN_IN

    def status(self, trade: str) -> int:
        return getattr(self, trade)


def everybody(name, *args, status=200, **more):
    return Route(name, args, status, status, status, status, **more)


def those_who_write(name, *args, others=403, status=200, **more):
    return Route(name, args, others, others, status, status, **more)


# a word for machines, and files
NO_PAGE = (
    "training:healthz",
    "training:metrics",
    "training:manifest",
    "training:bench-current",
    "training:bench-worker",
    "training:book-export",
    "procedures:photo",
    "training:observation-photo",
    "training:take-along",
    "training:own-files",
    "training:credential-list",
    "training:calendar-feed",
    "training:logo",
    "training:person-photo",
)
PUBLIC = (
    "login",
    "training:first-password",
    "training:first-password-code",
    "training:healthz",
    "training:metrics",
    "training:manifest",
    "training:offline",
    "training:card-answer",
    "training:credential-check",
    "training:credential-list",
    "training:calendar-feed",
    "training:stop-mail",
    "training:confirm-mail",
    "training:trust",
    "training:trust-file",
    "training:trust-worker",
    "training:logo",
)

ROUTES = (
    everybody("login", status=302, nobody=200),
    everybody("logout", status=302, method="post"),
    everybody("password_change"),
    everybody("password_change_done"),
    # a page for developers, there in debug only: tests/training/test_look.py
    everybody("components", status=404),
    everybody("training:healthz", nobody=200),
    everybody("training:metrics", status=401, nobody=401),
    everybody("training:manifest", nobody=200),
    everybody("training:offline", nobody=200),
    everybody("training:home"),
    Route("training:start", (), 403, 403, 403, 200),
    Route("training:start-later", (), 403, 403, 403, 302, method="post"),
    Route("training:examples", (), 403, 403, 403, 200),
    everybody("training:study", "writeup"),
    # nobody has said which fork it is: tests/training/test_paper.py
    everybody("training:bench-print", "writeup", status=302),
    everybody("training:read", "writeup", status=302, method="post"),
    everybody("training:bench", "writeup"),
    everybody("training:bench-keep", "writeup", status=404, method="post"),
    everybody("training:bench-job", "writeup", method="post"),
    everybody("training:bench-current", "writeup"),
    everybody("training:bench-worker"),
    everybody("training:job", "level"),
    those_who_write("training:who-may"),
    those_who_write("training:changed"),
    those_who_write("training:cover"),
    those_who_write("training:plan"),
    those_who_write("training:rota"),
    Route("training:rota-person", ("mechanic",), 403, 403, 403, 200),
    everybody("training:typed", status=302),
    Route("training:undo-rota", (), 403, 403, 403, 302, method="post"),
    Route("training:not-away", ("mechanic", "away"), 403, 403, 403, 302, method="post"),
    Route("training:want", ("workshop", "level"), 403, 403, 403, 200),
    those_who_write("training:wall"),
    everybody("training:codes"),
    Route("training:certificate", ("signoff",), 200, 404, 200, 200),
    Route("training:take-along", ("signoff",), 200, 404, 200, 200),
    everybody("training:credential-check", nobody=200),
    everybody("training:credential-list", "purpose", nobody=200),
    everybody("training:card"),
    everybody("training:calendar"),
    everybody("training:calendar-feed", "calendar", nobody=200),
    # there with a certificate of the machine's own only: tests/training/test_lan.py
    everybody("training:trust", status=404, nobody=404),
    everybody("training:trust-file", status=404, nobody=404),
    everybody("training:trust-worker", status=404, nobody=404),
    everybody("training:reminders"),
    Route("training:shop", (), 403, 403, 403, 200),
    everybody("training:logo", "logo", nobody=200),
    # off by default; switched on: tests/training/test_front.py
    those_who_write("training:today"),
    everybody("training:photo"),
    Route("training:person-photo", ("trainee",), 200, 404, 200, 200),
    Route("training:remove-photo", ("trainee",), 403, 403, 403, 302, method="post"),
    Route("training:reminders-list", (), 403, 403, 403, 200),
    everybody("training:confirm-mail", "mail_link", nobody=200),
    everybody("training:stop-mail", "wish", "stop_seal", nobody=200),
    Route("training:person-card", ("trainee",), 403, 403, 403, 200),
    everybody("training:card-answer", "card", "seal", nobody=200),
    Route("training:line", ("trainee",), 200, 404, 200, 200),
    Route("training:other-rules", ("level",), 403, 403, 403, 200),
    Route("training:one", ("level", "trainee"), 200, 404, 200, 200),
    Route("training:observe", ("level", "trainee"), 403, 403, 200, 200),
    Route("training:job-of", ("level", "trainee"), 403, 403, 200, 200),
    Route("training:change-job", ("watched_job",), 200, 404, 404, 404),
    Route("training:take-back-job", ("watched_job",), 302, 404, 404, 404, method="post"),
    Route("training:watched-job", ("watched_job",), 404, 404, 200, 404),
    Route("training:end-appointment", ("appointment",), 403, 403, 403, 302, method="post"),
    Route("training:level-links", (), 403, 403, 403, 200),
    Route("training:late-entries", (), 403, 403, 403, 200),
    Route("training:sign-off", ("level", "trainee"), 403, 403, 200, 200),
    Route("training:founding", ("level", "trainee"), 403, 403, 403, 200),
    those_who_write("training:stand-down", "mechanic"),
    those_who_write("training:lift", "standdown"),
    Route("training:observation", ("observation",), 200, 404, 200, 200),
    Route("training:observation-photo", ("observation", "1"), 200, 404, 200, 200),
    Route("training:shown-again", ("observation",), 403, 403, 200, 200),
    Route("training:gone-through", ("ended_sitting",), 403, 403, 200, 200),
    Route("training:talk", ("ended_sitting",), 403, 403, 200, 200),
    Route("training:people", (), 403, 403, 403, 200),
    Route("training:new-person", (), 403, 403, 403, 200),
    Route("training:matrix", (), 403, 403, 403, 200),
    Route("training:person", ("trainee",), 403, 403, 403, 200),
    everybody("login-code", status=302),
    everybody("training:sessions"),
    Route("training:refusals", (), 403, 403, 403, 200),
    everybody("training:second-factor"),
    Route("training:second-factor-required", (), 403, 403, 403, 200),
    Route("training:person-second-factor", ("trainee",), 403, 403, 403, 200),
    Route("training:person-sessions", ("trainee",), 403, 403, 403, 200),
    Route("training:person-link", ("trainee",), 403, 403, 403, 200),
    everybody("training:first-password", nobody=200),
    everybody("training:first-password-code", "code", nobody=200),
    Route("training:person-record", ("trainee",), 403, 403, 403, 200),
    everybody("training:own-record"),
    # a trainee of that shop has an open sitting, and the file holds answers
    Route("training:own-files", (), 403, 200, 200, 200),
    Route("training:appoint", ("senior",), 403, 403, 403, 200, method="post"),
    Route("training:levels", (), 403, 403, 403, 200),
    Route("training:new-level", (), 403, 403, 403, 200),
    Route("training:level-rules", ("level",), 403, 403, 403, 200),
    Route("training:undo-rules", ("level",), 403, 403, 403, 404, method="post"),
    those_who_write("training:voids"),
    those_who_write("training:void", "void"),
    those_who_write("training:void-choose", "trainee"),
    those_who_write("training:void-ask", "trainee", "reading", "writeup", "day"),
    those_who_write("training:recall"),
    those_who_write("training:signers"),
    those_who_write("training:agreement"),
    those_who_write("training:book"),
    Route("training:programs", (), 403, 403, 403, 200),
    Route("training:end-program", ("program",), 403, 403, 403, 302, method="post"),
    Route("training:backup", (), 403, 403, 403, 200),
    Route("training:book-export", (), 403, 403, 403, 200),
    those_who_write("training:impact", "writeup", "2", others=404),
    everybody("procedures:list"),
    those_who_write("procedures:read-example", status=302, method="post"),
    everybody("procedures:find"),
    everybody("procedures:current", "writeup", status=302),
    everybody("procedures:fork", "writeup", status=302, method="post"),
    those_who_write("procedures:new"),
    those_who_write("procedures:old-text"),
    everybody("procedures:drawings"),
    those_who_write("procedures:new-drawing"),
    everybody("procedures:photo", "photo"),
    those_who_write("procedures:rules"),
    those_who_write("procedures:rules-version", "rules"),
    those_who_write("procedures:next", "writeup", status=302, method="post"),
    everybody("procedures:revision", "writeup", "1"),
    those_who_write("procedures:revision", "writeup", "2", others=404),
    everybody("procedures:compare", "writeup", "1"),
    those_who_write("procedures:compare", "writeup", "2", others=404),
    those_who_write("procedures:ask", "writeup", "2", others=404, status=302, method="post"),
    those_who_write("procedures:edit", "writeup", "2", others=404),
    those_who_write("procedures:form", "writeup", "2", others=404),
    those_who_write("procedures:form-head", "writeup", "2", others=404),
    those_who_write("procedures:form-part", "writeup", "2", "step", others=404),
    those_who_write("procedures:form-add", "writeup", "2", "step", others=404),
    those_who_write("procedures:form-split", "writeup", "2", "step", others=404),
    those_who_write("procedures:form-move", "writeup", "2", others=404, status=302, method="post"),
    those_who_write(
        "procedures:form-take-out", "writeup", "2", others=404, status=302, method="post"
    ),
    those_who_write("procedures:check", "writeup", "2", others=404, method="post"),
    those_who_write(
        "procedures:keep-typing", "writeup", "2", others=404, status=400, method="post"
    ),
    those_who_write(
        "procedures:drop-typing", "writeup", "2", others=404, status=302, method="post"
    ),
    those_who_write("procedures:answer", "writeup", "2", others=404, status=302, method="post"),
    those_who_write(
        "procedures:send-to-review", "writeup", "2", others=404, status=302, method="post"
    ),
    those_who_write("procedures:send-back", "writeup", "2", others=404, status=200, method="post"),
    those_who_write("procedures:release", "writeup", "2", others=404, status=302, method="post"),
    those_who_write(
        "procedures:confirm-values", "writeup", "2", others=404, status=302, method="post"
    ),
    Route("quizzes:sitting", ("open_sitting",), 200, 404, 404, 404),
    Route("quizzes:question", ("open_sitting", "1"), 200, 404, 404, 404),
    Route("quizzes:more-time", ("open_sitting",), 302, 404, 404, 404, method="post"),
    Route("quizzes:end", ("open_sitting",), 200, 404, 404, 404, method="post"),
    # The trainee has a sitting open, which closes what it asks about.
    Route("quizzes:result", ("ended_sitting",), 403, 404, 200, 200),
    everybody("quizzes:refresher"),
    Route("quizzes:refresher-done", ("round",), 403, 404, 404, 404),
    Route("quizzes:refresher-question", ("round", "1"), 403, 404, 404, 404),
    those_who_write("quizzes:recall", "quiz"),
    those_who_write("quizzes:questions"),
    those_who_write("quizzes:odds", "quiz"),
    those_who_write("quizzes:statistics", "quiz"),
    those_who_write("quizzes:edit", "writeup"),
    those_who_write("quizzes:new", "writeup"),
    those_who_write("quizzes:form", "writeup", "question"),
    those_who_write("quizzes:drafts", "writeup"),
    those_who_write("quizzes:decide-draft", "writeup", status=302, method="post"),
    those_who_write("quizzes:asked", "writeup", "question"),
    those_who_write("quizzes:confirm", "writeup", "question", status=302, method="post"),
    those_who_write("quizzes:withdraw", "writeup", "question", status=302, method="post"),
    those_who_write("quizzes:quiz", "quiz"),
    # The last one: it opens a sitting, and much is closed to whoever has one open.
    everybody("training:quiz", "level", status=302, method="post"),
)
