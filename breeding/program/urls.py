"""Addresses of the ground floor."""

from django.contrib.auth import views as auth
from django.contrib.auth.decorators import login_not_required
from django.urls import path

from breeding.program.frame.decorators import never_looked_over, open_to_viewers
from breeding.program.views import (
    account,
    acts,
    backups,
    care,
    columns,
    kept,
    language,
    link,
    mending,
    offline,
    people,
    settings,
    sign_in,
    two_step,
)

app_name = "program"
urlpatterns = [
    path("sign-in/", never_looked_over(sign_in.SignIn.as_view()), name="sign_in"),
    path("sign-in/code/", sign_in.sign_in_code, name="sign_in_code"),
    path(
        "sign-out/",
        open_to_viewers(auth.LogoutView.as_view(next_page="program:sign_in")),
        name="sign_out",
    ),
    path("link/<str:token>/", login_not_required(link.link), name="link"),
    path("manifest.webmanifest", offline.manifest, name="manifest"),
    path("worker.js", offline.worker, name="worker"),
    path("no-network/", offline.no_network, name="no_network"),
    path("favicon.ico", care.favicon, name="favicon"),
    path("more/", care.more, name="more"),
    path("care/", care.care, name="care"),
    path("columns/<str:list_key>/", columns.columns, name="columns"),
    path("settings/", settings.settings, name="settings"),
    path("backups/", backups.backups, name="backups"),
    path("backups/<str:name>", backups.backup, name="backup"),
    path("people/", people.people, name="people"),
    path("people/<int:pk>/", people.person, name="person"),
    path("people/<int:pk>/link/", people.person_link, name="person_link"),
    path("people/<int:pk>/sign-out/", people.person_sign_out, name="person_sign_out"),
    path("people/<int:pk>/two-step-off/", people.person_two_step_off, name="person_two_step_off"),
    path("account/", account.account, name="account"),
    path("account/language/", language.own_language, name="own_language"),
    path("language/<str:code>/", language.language, name="language"),
    path("account/password/", account.password, name="password"),
    path("account/end/<int:pk>/", account.end_session, name="end_session"),
    path("account/end/", account.end_sessions, name="end_sessions"),
    path("account/two-step/", two_step.two_step, name="two_step"),
    path("account/two-step/codes/", two_step.two_step_codes, name="two_step_codes"),
    path("account/two-step/off/", two_step.two_step_off, name="two_step_off"),
    path("withdraw/<slug:kind>/<int:pk>/", mending.withdraw, name="withdraw"),
    path("bring-back/<slug:kind>/<int:pk>/", mending.bring_back, name="bring_back"),
    path("change/<slug:kind>/<int:pk>/", mending.change, name="change"),
    path("once/<str:token>/", acts.once, name="once"),
    path("kept/", kept.kept, name="kept"),
    path("kept/<int:pk>/put-away/", kept.kept_away, name="kept_away"),
    path("acts/<int:pk>/undo/", acts.undo, name="undo"),
    path("acts/<int:pk>/put-away/", acts.put_away, name="put_away"),
]
