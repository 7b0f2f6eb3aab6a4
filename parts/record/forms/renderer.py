"""How forms are set on a sheet: one field template for every form of the app."""

from django.forms.renderers import TemplatesSetting


class SheetRenderer(TemplatesSetting):
    """Renders forms and fields with the templates of `templates/forms/`."""

    form_template_name = "forms/form.html"
    formset_template_name = "forms/formset.html"
    field_template_name = "forms/field.html"
