"""Addresses of the ground floor."""

from django.contrib.auth import views as auth
from django.contrib.auth.decorators import login_not_required
from django.urls import path

from breeding.program import views
from breeding.program.decorators import open_to_viewers

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
    path("link/<str:token>/", login_not_required(views.link), name="link"),
    path("favicon.ico", views.favicon, name="favicon"),
    path("more/", views.more, name="more"),
    path("care/", views.care, name="care"),
    path("settings/", views.settings, name="settings"),
    path("people/", views.people, name="people"),
    path("people/<int:pk>/", views.person, name="person"),
]
