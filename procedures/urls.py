"""Which address leads to which page on write-ups?"""

from django.urls import include, path

from procedures.views import proofing
from procedures.views import writeups as views

app_name = "procedures"

REVISION = [
    path("", views.revision, name="revision"),
    path("edit/", views.edit, name="edit"),
    path("send-to-review/", views.send_to_review, name="send-to-review"),
    path("send-back/", views.send_back, name="send-back"),
    path("answer-finding/", proofing.answer_finding, name="answer-finding"),
    path("release/", views.release, name="release"),
]

urlpatterns = [
    path("", views.writeups, name="list"),
    path("new/", views.new, name="new"),
    path("rules/", views.rules, name="rules"),
    path("<slug:name>/next/", views.start_next, name="next"),
    path("<slug:name>/<int:number>/", include(REVISION)),
]
