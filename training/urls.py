"""Which address leads to which page on people and what they may do?"""

from django.urls import include, path

from training.views import (
    bench,
    book,
    clearing,
    home,
    impact,
    jobs,
    levels,
    lines,
    other_rules,
    people,
    record,
    signing,
    standing,
    study,
    voids,
)

app_name = "training"

PERSON_AT_LEVEL = [
    path("", standing.one, name="one"),
    path("observe/", signing.observe, name="observe"),
    path("sign-off/", signing.sign_off, name="sign-off"),
    path("founding/", signing.founding, name="founding"),
]

urlpatterns = [
    path("", home.home, name="home"),
    path("study/<slug:name>/", study.study, name="study"),
    path("study/<slug:name>/read/", study.read, name="read"),
    path("bench/<slug:name>/", bench.bench, name="bench"),
    path("bench/<slug:name>/keep/", bench.keep, name="bench-keep"),
    path("bench/<slug:name>/job/", bench.job, name="bench-job"),
    path("bench/<slug:name>/current/", bench.current, name="bench-current"),
    path("bench/worker.js", bench.worker, name="bench-worker"),
    path("levels/<slug:level>/quiz/", study.quiz, name="quiz"),
    path("levels/<slug:level>/job/", jobs.job, name="job"),
    path("levels/<slug:level>/other-rules/", other_rules.other_rules, name="other-rules"),
    path("impact/<slug:name>/<int:number>/", impact.impact, name="impact"),
    path("who-may/", standing.who_may, name="who-may"),
    path("who-may/changed/", lines.changed, name="changed"),
    path("line/<str:login>/", lines.line, name="line"),
    path("who-may/<slug:level>/<str:login>/", include(PERSON_AT_LEVEL)),
    path("stand-down/<str:login>/", signing.stand_down, name="stand-down"),
    path("lift/<int:pk>/", signing.lift, name="lift"),
    path("gone-through/<int:pk>/", clearing.gone_through, name="gone-through"),
    path("talk/<int:pk>/", clearing.talk, name="talk"),
    path("people/", people.people, name="people"),
    path("people/new/", people.new, name="new-person"),
    path("people/<str:login>/", people.person, name="person"),
    path("people/<str:login>/appoint/", people.appoint, name="appoint"),
    path("people/<str:login>/record/", record.of_person, name="person-record"),
    path("record/", record.own, name="own-record"),
    path("levels/", levels.levels, name="levels"),
    path("levels/new/", levels.new, name="new-level"),
    path("levels/<slug:level>/rules/", levels.rules, name="level-rules"),
    path("book/", book.book, name="book"),
    path("book/export/", book.export, name="book-export"),
    path("voids/", voids.voids, name="voids"),
    path("voids/<int:pk>/", voids.void, name="void"),
    path("voids/of/<str:login>/", voids.choose, name="void-choose"),
    path("voids/of/<str:login>/<slug:kind>/<slug:about>/<str:day>/", voids.ask, name="void-ask"),
    path("recall/", voids.recall, name="recall"),
    path("signers/", voids.signers, name="signers"),
    path("healthz/", home.healthz, name="healthz"),
]
