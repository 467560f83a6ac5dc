"""Which address leads to which page on write-ups?"""

from django.urls import include, path

from procedures.views import (
    comparing,
    desk,
    drawings,
    examples,
    finding,
    form_desk,
    form_steps,
    old_documents,
    proofing,
    rules,
    studying,
)
from procedures.views import writeups as views

app_name = "procedures"

REVISION = [
    path("", views.revision, name="revision"),
    path("answer/", proofing.answer, name="answer"),
    path("compare/", comparing.compare, name="compare"),
    path("compare/ask/", comparing.ask, name="ask"),
    path("edit/", desk.edit, name="edit"),
    path("edit/check/", desk.check, name="check"),
    path("edit/typing/", desk.keep_typing, name="keep-typing"),
    path("edit/typing/drop/", desk.drop_typing, name="drop-typing"),
    path("form/", form_desk.overview, name="form"),
    path("form/head/", form_desk.head, name="form-head"),
    path("form/move/", form_desk.move, name="form-move"),
    path("form/take-out/", form_desk.take, name="form-take-out"),
    path("form/part/<str:key>/", form_steps.part, name="form-part"),
    path("form/part/<str:key>/add/", form_steps.add, name="form-add"),
    path("form/part/<str:key>/split/", form_desk.split, name="form-split"),
    path("send-to-review/", views.send_to_review, name="send-to-review"),
    path("send-back/", views.send_back, name="send-back"),
    path("release/", views.release, name="release"),
    path("values/", examples.confirm_values, name="confirm-values"),
]

urlpatterns = [
    path("", views.writeups, name="list"),
    path("new/", views.new, name="new"),
    path("old-text/", old_documents.old_text, name="old-text"),
    path("read-example/", examples.read_example, name="read-example"),
    path("find/", finding.find, name="find"),
    path("drawings/", drawings.drawings, name="drawings"),
    path("drawings/new/", drawings.new, name="new-drawing"),
    path("drawings/<slug:digest>.jpg", drawings.photo, name="photo"),
    path("rules/", rules.rules, name="rules"),
    path("rules/version/<int:version>/", rules.version, name="rules-version"),
    path("<slug:name>/next/", views.start_next, name="next"),
    path("<slug:name>/fork/", studying.fork, name="fork"),
    path("<slug:name>/current/", views.current, name="current"),
    path("<slug:name>/<int:number>/", include(REVISION)),
]
