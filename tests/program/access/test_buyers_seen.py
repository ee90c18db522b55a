"""An owner lets a viewer see buyers, and takes it back."""

import pytest
from django.test import Client
from django.urls import reverse

pytestmark = pytest.mark.django_db


def test_an_owner_lets_a_viewer_see_buyers_and_takes_it_back(as_owner, viewer):
    address = reverse("program:person", args=[viewer.pk])
    known = {"called": "Kit", "role": "viewer", "is_active": "on"}
    client = Client()
    client.force_login(viewer)
    page = client.get(reverse("buyers:index"))
    assert page.status_code == 403
    assert "an owner can let a viewer see them too" in page.content.decode()
    for sent, status in ((known | {"sees_buyers": "on"}, 200), (known, 403)):
        as_owner.post(address, sent)
        assert client.get(reverse("buyers:index")).status_code == status
        assert (reverse("buyers:index") in client.get("/").content.decode()) is (status == 200)
