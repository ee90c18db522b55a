"""Addresses of the room `agenda`."""

from django.urls import path

from breeding.agenda import views

app_name = "agenda"
urlpatterns = [
    path("", views.day, name="day"),
    path("day/answer/", views.answer, name="answer"),
    path("reminders/", views.reminders, name="reminders"),
    path("reminders/calendar/", views.feed_address, name="feed_address"),
    path("reminders/again/<int:pk>/", views.send_again, name="send_again"),
    path("reminders/mail/", views.mail, name="mail"),
    path("calendar/<str:token>/rayward.ics", views.feed, name="feed"),
]
