"""Addresses of the room `buyers`."""

from django.urls import path

from breeding.buyers.views import contact, hand_over, reservation, wish

app_name = "buyers"
urlpatterns = [
    path("", contact.index, name="index"),
    path("new/", contact.new, name="new"),
    path("<int:pk>/", contact.detail, name="detail"),
    path("<int:pk>/edit/", contact.edit, name="edit"),
    path("<int:pk>/erase/", contact.erase, name="erase"),
    path("reserve/<int:animal_pk>/", reservation.reserve, name="reserve"),
    path("reservation/<int:pk>/", reservation.reservation, name="reservation"),
    path("waiting/", wish.waiting, name="waiting"),
    path("wishes/", wish.wishes, name="wishes"),
    path("<int:contact_pk>/wish/", wish.wish_new, name="wish_new"),
    path("wish/<int:pk>/edit/", wish.wish_edit, name="wish_edit"),
    path("hand-over/<int:animal_pk>/", hand_over.hand_over, name="hand_over"),
    path("handed-over/<int:pk>/back/", hand_over.come_back, name="come_back"),
]
