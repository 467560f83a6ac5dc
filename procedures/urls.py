"""Which address leads to which page on write-ups?"""

from django.urls import include, path

from procedures.views import comparing, drawings, finding, proofing, rules, studying
from procedures.views import writeups as views

app_name = "procedures"

REVISION = [
    path("", views.revision, name="revision"),
    path("answer/", proofing.answer, name="answer"),
    path("compare/", comparing.compare, name="compare"),
    path("compare/ask/", comparing.ask, name="ask"),
    path("edit/", views.edit, name="edit"),
    path("send-to-review/", views.send_to_review, name="send-to-review"),
    path("send-back/", views.send_back, name="send-back"),
    path("release/", views.release, name="release"),
]

urlpatterns = [
    path("", views.writeups, name="list"),
    path("new/", views.new, name="new"),
    path("find/", finding.find, name="find"),
    path("drawings/", drawings.drawings, name="drawings"),
    path("drawings/new/", drawings.new, name="new-drawing"),
    path("drawings/<slug:digest>.jpg", drawings.photo, name="photo"),
    path("rules/", rules.rules, name="rules"),
    path("rules/<int:version>/", rules.version, name="rules-version"),
    path("<slug:name>/next/", views.start_next, name="next"),
    path("<slug:name>/fork/", studying.fork, name="fork"),
    path("<slug:name>/current/", views.current, name="current"),
    path("<slug:name>/<int:number>/", include(REVISION)),
]
