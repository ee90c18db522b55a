"""Addresses of the room `pairings`."""

from django.urls import path

from breeding.pairings import company_views, learning_views, views, year_views

app_name = "pairings"
urlpatterns = [
    path("", views.index, name="index"),
    path("new/", views.new, name="new"),
    path("log/", views.log, name="log"),
    path("season/", views.season, name="season"),
    path("year/<int:number>/", year_views.year, name="year"),
    path("company/", company_views.company, name="company"),
    path("signs/", learning_views.signs, name="signs"),
    path("signs/<int:pk>/", learning_views.sign, name="sign"),
    path("<int:pk>/", views.detail, name="detail"),
    path("<int:pk>/separate/", views.separate, name="separate"),
    path("<int:pk>/plan/", views.plan, name="plan"),
    path("<int:pk>/withdraw/", views.withdraw, name="withdraw"),
    path("sightings/<int:pk>/", views.sighting, name="sighting"),
    path("scans/<int:pk>/", views.scan_withdraw, name="scan_withdraw"),
    path("outcomes/<int:pk>/", views.outcome_withdraw, name="outcome_withdraw"),
    path("female/<int:pk>/", views.female, name="female"),
    path("female/<int:pk>/wounds/", views.wounds, name="wounds"),
    path("female/<int:pk>/nursery/", views.nursery, name="nursery"),
    path("female/<int:pk>/scan/", views.scan, name="scan"),
    path("female/<int:pk>/outcome/", views.outcome, name="outcome"),
]
