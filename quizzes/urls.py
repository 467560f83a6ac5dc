"""Which address leads to which page on sittings and questions?"""

from django.urls import include, path

from quizzes.views import authoring, drafting, refreshers, rules, sittings, trust, writing

app_name = "quizzes"

SITTING = [
    path("", sittings.overview, name="sitting"),
    path("<int:place>/", sittings.question, name="question"),
    path("more-time/", sittings.more_time, name="more-time"),
    path("end/", sittings.end, name="end"),
    path("result/", sittings.result, name="result"),
]

urlpatterns = [
    path("sitting/<int:pk>/", include(SITTING)),
    path("refresher/", refreshers.start, name="refresher"),
    path("refresher/<int:pk>/", refreshers.done, name="refresher-done"),
    path("refresher/<int:pk>/<int:place>/", refreshers.question, name="refresher-question"),
    path("questions/", writing.questions, name="questions"),
    path("questions/<slug:writeup>/edit/", writing.edit, name="edit"),
    path("questions/<slug:writeup>/new/", authoring.new, name="new"),
    path("questions/<slug:writeup>/drafts/", drafting.drafts, name="drafts"),
    path("questions/<slug:writeup>/drafts/decide/", drafting.decide, name="decide-draft"),
    path("questions/<slug:writeup>/<slug:name>/", writing.asked, name="asked"),
    path("questions/<slug:writeup>/<slug:name>/form/", authoring.change, name="form"),
    path("questions/<slug:writeup>/<slug:name>/confirm/", writing.confirm, name="confirm"),
    path("questions/<slug:writeup>/<slug:name>/withdraw/", writing.withdraw, name="withdraw"),
    path("quizzes/<slug:name>/", rules.quiz, name="quiz"),
    path("quizzes/<slug:quiz>/odds/", trust.odds, name="odds"),
    path("quizzes/<slug:quiz>/recall/", refreshers.recall, name="recall"),
    path("quizzes/<slug:quiz>/statistics/", trust.statistics, name="statistics"),
]
