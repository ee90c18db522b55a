"""Addresses of the ground floor."""

from django.contrib.auth import views as auth
from django.contrib.auth.decorators import login_not_required
from django.urls import path

from breeding.program.frame.decorators import open_to_viewers
from breeding.program.views import care, columns, link, people, settings, withdrawing

app_name = "program"
urlpatterns = [
    path(
        "sign-in/",
        auth.LoginView.as_view(
            template_name="program/sign_in.html", redirect_authenticated_user=True
        ),
        name="sign_in",
    ),
    path(
        "sign-out/",
        open_to_viewers(auth.LogoutView.as_view(next_page="program:sign_in")),
        name="sign_out",
    ),
    path("link/<str:token>/", login_not_required(link.link), name="link"),
    path("favicon.ico", care.favicon, name="favicon"),
    path("more/", care.more, name="more"),
    path("care/", care.care, name="care"),
    path("columns/<str:list_key>/", columns.columns, name="columns"),
    path("settings/", settings.settings, name="settings"),
    path("people/", people.people, name="people"),
    path("people/<int:pk>/", people.person, name="person"),
    path("withdraw/<slug:kind>/<int:pk>/", withdrawing.withdraw, name="withdraw"),
]
