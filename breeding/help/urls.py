"""Addresses of the handbook and the page of words."""

from django.urls import path

from breeding.help.views import handbook, words

app_name = "help"
urlpatterns = [
    path("", handbook.index, name="index"),
    path("words/", words.words, name="words"),
    path("<slug:chapter>/", handbook.chapter, name="chapter"),
]
