"""Which columns are in no entry of the record book, and why does none of them decide who may do
what?

`tests/training/test_book_covers.py` holds this complete: a new model or column is told by an entry
(`BOOK`) or stands here. A reason for `*` is for every column of the table.
"""

DRAFTS = "it belongs to a draft; what is released stands in the entry of the release"
OFFERS = "it only says what is offered or shown next"
PRACTICE = "practice questions are no evidence"
ROTA = "who is at work changes nobody's standing"
SIGN_IN = (
    "it goes with the password: whoever can write here can as well put another password's hash, "
    "which no book should hold"
)
ONCE = "it only keeps a form that was sent twice from being written twice"
MAIL = "who gets a mail changes nobody's standing"

OUTSIDE = {
    "procedures.Revision": {
        "writers": DRAFTS,
        "changed_at": DRAFTS,
        "sent_to_review_at": DRAFTS,
        "sent_back_because": DRAFTS,
    },
    "procedures.AskedOfChange": {
        "change": "after the release only what the whole revision asks counts"
    },
    "procedures.Typed": {"*": DRAFTS},
    "procedures.EarlierText": {"*": DRAFTS},
    "procedures.Example": {"*": DRAFTS},
    "procedures.ConfirmedValue": {"*": DRAFTS},
    "procedures.ChosenFork": {"*": OFFERS},
    "quizzes.Quiz": {
        "title": "each version of a level's rules tells its title; this is a copy to show"
    },
    "quizzes.GoneThrough": {"once": ONCE},
    "quizzes.Talk": {"once": ONCE},
    "quizzes.DraftDropped": {"*": OFFERS},
    "quizzes.RefresherRound": {"*": PRACTICE},
    "quizzes.RefresherAnswer": {"*": PRACTICE},
    "training.ProgramToken": {
        "*": "which program may ask; what one writes down is an entry that names whose job it is"
    },
    "training.BookEntry": {"*": "it is the book itself; the chain holds it"},
    "training.BookHead": {"*": "it is held against the last entry"},
    "training.User": {
        "password": "no book should hold it, nor what is made of it",
        "last_login": OFFERS,
        "goes_by_capitals": SIGN_IN,
    },
    "training.Session": {"*": SIGN_IN},
    "training.Tries": {"*": SIGN_IN},
    "training.RefusedSignIn": {"*": SIGN_IN},
    "training.KnownDevice": {"*": SIGN_IN},
    "training.OneTimeLink": {"*": SIGN_IN},
    "training.Rota": {"*": ROTA},
    "training.Absence": {"*": ROTA},
    "training.Want": {"*": ROTA},
    "training.Planned": {"*": OFFERS},
    "training.BenchPlace": {"*": OFFERS},
    "training.Reading": {"once": ONCE},
    "training.SignOff": {"once": ONCE},
    "training.Taken": {"*": ONCE},
    "training.Card": {
        "*": "a card's code leads to the answer of the moment; the card itself says nothing"
    },
    "training.CalendarAddress": {
        "*": "it leads to what the standing says at that moment, and to nothing that can be written"
    },
    "training.CalendarEvent": {"*": "what calendar programs were told last of the standing"},
    "training.ShopFront": {"*": "how pages look, and who may look, changes no standing"},
    "training.PersonPhoto": {"*": "what somebody looks like is evidence of nothing"},
    "training.AddressMail": {"*": MAIL},
    "training.MailWish": {"*": MAIL},
    "training.Reminder": {"*": MAIL},
    "training.Visit": {"*": OFFERS},
    "training.LeftForLater": {"*": OFFERS},
}
