"""Addresses of the room `agenda`."""

from django.urls import path

from breeding.agenda.views import cards, day, feed, mail, own, reminders, stop

app_name = "agenda"
urlpatterns = [
    path("", day.day, name="day"),
    path("cards/", cards.cards, name="cards"),
    path("day/answer/", day.answer, name="answer"),
    path("day/all/<slug:of>/", day.alike, name="alike"),
    path("reminders/set/", own.own, name="own"),
    path("reminders/set/new/", own.remind, name="remind"),
    path("reminders/", reminders.reminders, name="reminders"),
    path("reminders/calendar/", reminders.feed_address, name="feed_address"),
    path("reminders/again/<int:pk>/", reminders.send_again, name="send_again"),
    path("reminders/mail/", mail.mail, name="mail"),
    path("calendar/<str:token>/rayward.ics", feed.feed, name="feed"),
    path("stop/<str:token>/", stop.stop, name="stop"),
]
