"""Addresses at the door."""

from django.urls import path

from farmops.people.views import links, people, phones, sign_in, who_works

urlpatterns = [
    path("sign-in/", sign_in.sign_in, name="sign-in"),
    path("sign-out/", sign_in.sign_out, name="sign-out"),
    path("who-works/", who_works.who_works, name="who-works"),
    path("first/<str:secret>/", links.first_account, name="first-account"),
    path("account/<str:secret>/", links.account, name="account"),
    path("let-in/<str:secret>/", links.phone, name="phone-in"),
    path("people/", people.people, name="people"),
    path("people/<int:number>/", people.person, name="person"),
    path("phones/", phones.phones, name="phones"),
    path("phones/<int:number>/stop/", phones.stop, name="stop-phone"),
]
