"""Which address leads where?"""

from django.contrib.auth import views as auth
from django.urls import include, path

from training.views import components, signing_in
from training.views.api.addresses import addresses

handler403 = "quizzes.views.refusing.forbidden"

urlpatterns = [
    path("api/", include(addresses(), namespace="api")),
    path("", include("training.urls")),
    path("write-ups/", include("procedures.urls")),
    path("", include("quizzes.urls")),
    path("sign-in/", signing_in.SignIn.as_view(), name="login"),
    path("sign-in/code/", signing_in.code, name="login-code"),
    path("sign-out/", auth.LogoutView.as_view(), name="logout"),
    path("password/", signing_in.ChangePassword.as_view(), name="password_change"),
    path("password/done/", auth.PasswordChangeDoneView.as_view(), name="password_change_done"),
    path("components/", components.components, name="components"),
]

handler400 = "training.views.trouble.unreadable"
handler500 = "training.views.trouble.broken"
