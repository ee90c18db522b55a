"""Addresses of the room `buyers`."""

from django.urls import path

from breeding.buyers import views

app_name = "buyers"
urlpatterns = [
    path("", views.index, name="index"),
    path("new/", views.new, name="new"),
    path("<int:pk>/", views.detail, name="detail"),
    path("<int:pk>/edit/", views.edit, name="edit"),
    path("reserve/<int:animal_pk>/", views.reserve, name="reserve"),
    path("reservation/<int:pk>/withdraw/", views.withdraw, name="withdraw"),
    path("reservation/<int:pk>/", views.reservation, name="reservation"),
    path("waiting/", views.waiting, name="waiting"),
    path("<int:contact_pk>/wish/", views.wish_new, name="wish_new"),
    path("wish/<int:pk>/edit/", views.wish_edit, name="wish_edit"),
    path("wish/<int:pk>/withdraw/", views.wish_withdraw, name="wish_withdraw"),
    path("hand-over/<int:animal_pk>/", views.hand_over, name="hand_over"),
    path("handed-over/<int:pk>/back/", views.come_back, name="come_back"),
    path("handed-over/<int:pk>/withdraw/", views.hand_over_withdraw, name="hand_over_withdraw"),
    path("origin/<int:animal_pk>/", views.origin, name="origin"),
    path("origin/<int:animal_pk>/pdf/", views.origin_file, name="origin_file"),
    path("origin/<int:animal_pk>/paper/", views.origin_paper_new, name="origin_paper_new"),
    path("paper/<int:pk>/withdraw/", views.origin_paper_withdraw, name="origin_paper_withdraw"),
    path("paper/<int:pk>/document/", views.origin_document, name="origin_document"),
    path("sales/<int:litter_pk>/", views.sales, name="sales"),
    path("sheet/new/<int:animal_pk>/", views.sheet_new, name="sheet_new"),
    path("sheet/<int:pk>/", views.sheet, name="sheet"),
    path("sheet/<int:pk>/link/", views.sheet_link, name="sheet_link"),
    path("sheet/<int:pk>/withdraw/", views.sheet_withdraw, name="sheet_withdraw"),
    path("sheet/<int:pk>/pdf/", views.sheet_file, name="sheet_file"),
    path("sheet/<int:pk>/picture/<str:role>/", views.sheet_picture, name="sheet_picture"),
    path("sharing/", views.sharing, name="sharing"),
    # Short, for they are printed as a code; open to whoever has the token.
    path("s/<str:token>/", views.shared, name="shared"),
    path("s/<str:token>/pdf/", views.shared_file, name="shared_file"),
    path("s/<str:token>/<str:role>/", views.shared_picture, name="shared_picture"),
    path("o/<str:token>/", views.offer, name="offer"),
    path("o/<str:token>/<str:role>/", views.offer_picture, name="offer_picture"),
]
