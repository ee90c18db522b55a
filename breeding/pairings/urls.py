"""Addresses of the room `pairings`."""

from django.urls import path

from breeding.pairings.views import (
    company,
    female,
    log,
    nursery,
    pairing,
    season,
    seasonal,
    sighting,
    sign,
)

app_name = "pairings"
urlpatterns = [
    path("", pairing.index, name="index"),
    path("new/", pairing.new, name="new"),
    path("log/", log.log, name="log"),
    path("log/fed/", log.log_fed, name="log_fed"),
    path("log/weighed/", log.log_weighed, name="log_weighed"),
    path("log/water/", log.log_water, name="log_water"),
    path("log/note/", log.log_note, name="log_note"),
    path("logged/", log.logged, name="logged"),
    path("season/", season.season, name="season"),
    path("year/<int:number>/", season.year, name="year"),
    path("water/", seasonal.seasonal, name="seasonal"),
    path("company/", company.company, name="company"),
    path("signs/", sign.signs, name="signs"),
    path("signs/<int:pk>/", sign.sign, name="sign"),
    path("<int:pk>/", pairing.detail, name="detail"),
    path("<int:pk>/separate/", pairing.separate, name="separate"),
    path("<int:pk>/plan/", pairing.plan, name="plan"),
    path("sightings/", sighting.sightings, name="sightings"),
    path("female/<int:pk>/", female.female, name="female"),
    path("female/<int:pk>/wounds/", female.wounds, name="wounds"),
    path("female/<int:pk>/nursery/", nursery.nursery, name="nursery"),
    path("female/<int:pk>/water/", seasonal.her_water, name="her_water"),
    path("female/<int:pk>/scan/", female.scan, name="scan"),
    path("female/<int:pk>/outcome/", female.outcome, name="outcome"),
]
