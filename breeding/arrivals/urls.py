"""Addresses of the room `arrivals`."""

from django.urls import path

from breeding.arrivals.views import arrival, loan, year

app_name = "arrivals"
urlpatterns = [
    path("", arrival.index, name="index"),
    path("new/", arrival.new, name="new"),
    path("loans/", loan.loans, name="loans"),
    path("of/<int:animal_pk>/", arrival.came, name="came"),
    path("lend/<int:animal_pk>/", loan.lend, name="lend"),
    path("taken-in/<int:animal_pk>/", loan.take_in, name="take_in"),
    path("loans/<int:pk>/back/", loan.back, name="back"),
    path("loans/<int:pk>/young/", loan.young, name="young"),
    path("with/<int:contact_pk>/", year.year, name="year"),
    path("<int:pk>/kin/", arrival.kin, name="kin"),
]
