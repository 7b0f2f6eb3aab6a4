"""Addresses of engine."""

from django.urls import path

from .views import engine, figures, parts, pieces

top = [
    path("engines/new/", engine.engine_new, name="engine_new"),
]

urlpatterns = [
    path("edit/", engine.engine_edit, name="engine_edit"),
    path("owners/", engine.owners, name="owners"),
    path("owners/new/", engine.owner_new, name="owner_new"),
    path("owners/<row:pk>/edit/", engine.owner_edit, name="owner_edit"),
    path("parts/", parts.part_list, name="part_list"),
    path("parts/new/", parts.part_new, name="part_new"),
    path("parts/<row:pk>/edit/", parts.part_edit, name="part_edit"),
    path("parts/<row:pk>/pieces/<slug:verb>/", pieces.part_act, name="part_act"),
    path("parts/<row:pk>/propose/", pieces.part_propose, name="part_propose"),
    path("components/", parts.components, name="components"),
    path("components/new/", parts.component_new, name="component_new"),
    path("components/<row:pk>/", parts.component, name="component"),
    path("components/<row:pk>/edit/", parts.component_edit, name="component_edit"),
    path("components/<row:pk>/still/", pieces.component_still, name="component_still"),
    path("proposals/", pieces.proposal_list, name="proposals"),
    path("proposals/<row:pk>/", pieces.proposal_answer, name="proposal_answer"),
    path("figures/", figures.figures, name="figures"),
    path("figures/edit/", figures.figures_edit, name="figures_edit"),
]
