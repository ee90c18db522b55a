"""Addresses of the ground floor."""

from django.contrib.auth import views as auth
from django.contrib.auth.decorators import login_not_required
from django.urls import path

from breeding.program.frame.decorators import open_to_viewers
from breeding.program.views import (
    acts,
    backups,
    care,
    columns,
    kept,
    link,
    mending,
    people,
    settings,
)

app_name = "program"
urlpatterns = [
    path(
        "sign-in/",
        kept.SignIn.as_view(),
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
    path("backups/", backups.backups, name="backups"),
    path("backups/<str:name>", backups.backup, name="backup"),
    path("people/", people.people, name="people"),
    path("people/<int:pk>/", people.person, name="person"),
    path("withdraw/<slug:kind>/<int:pk>/", mending.withdraw, name="withdraw"),
    path("bring-back/<slug:kind>/<int:pk>/", mending.bring_back, name="bring_back"),
    path("change/<slug:kind>/<int:pk>/", mending.change, name="change"),
    path("once/<str:token>/", acts.once, name="once"),
    path("kept/", kept.kept, name="kept"),
    path("kept/<int:pk>/put-away/", kept.kept_away, name="kept_away"),
    path("acts/<int:pk>/undo/", acts.undo, name="undo"),
    path("acts/<int:pk>/put-away/", acts.put_away, name="put_away"),
]
