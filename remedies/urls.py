"""Addresses of the load register, its sheets and labels."""

from django.urls import path

from remedies.views import explained, glow, life, presets, register, sheets, where_to_look

urlpatterns = [
    path("installations/<int:pk>/loads/", register.loads, name="loads"),
    path("loads/", register.firm_loads, name="firm_loads"),
    path("loads/<int:pk>/", register.load, name="load"),
    path("loads/<int:pk>/photo/", register.load_photo, name="load_photo"),
    path("circuits/<int:pk>/loads/add/", life.load_add, name="load_add"),
    path("loads/<int:pk>/change/", life.load_change, name="load_change"),
    path("loads/<int:pk>/confirm/", life.load_confirm, name="load_confirm"),
    path("loads/<int:pk>/disconnect/", life.load_disconnect, name="load_disconnect"),
    path("loads/<int:pk>/put-back/", life.load_put_back, name="load_put_back"),
    path("loads/<int:pk>/take-out/", life.load_take_out, name="load_take_out"),
    path("loads/<int:pk>/replace/", life.load_replace, name="load_replace"),
    path("loads/presets/", presets.load_presets, name="load_presets"),
    path("loads/presets/add/", presets.load_preset_add, name="load_preset_add"),
    path("loads/presets/<int:pk>/", presets.load_preset_change, name="load_preset_change"),
    path("circuits/<int:pk>/explained/", explained.reading_explained, name="reading_explained"),
    path("circuits/<int:pk>/where-to-look/", where_to_look.where_to_look, name="where_to_look"),
    path("boards/<int:pk>/before-you-test/", sheets.before_you_test, name="before_you_test"),
    path("boards/<int:pk>/label/", sheets.board_label, name="board_label"),
    path("boards/<int:pk>/label/print/", sheets.board_label_print, name="board_label_print"),
    path("boards/<int:pk>/label/stuck/", sheets.board_label_stuck, name="board_label_stuck"),
    path("glow/", glow.glow_worksheets, name="glow_worksheets"),
    path("installations/<int:pk>/glow/", glow.glow_worksheets, name="installation_glow_worksheets"),
    path("circuits/<int:pk>/glow/start/", glow.glow_start, name="glow_start"),
    path("glow/<int:pk>/", glow.glow, name="glow"),
    path("glow/<int:pk>/part/", glow.glow_part, name="glow_part"),
    path("glow/<int:pk>/fit/", glow.glow_fit, name="glow_fit"),
    path("glow/<int:pk>/close/", glow.glow_close, name="glow_close"),
]
