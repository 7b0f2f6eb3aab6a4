"""All addresses."""

app_name = "parts"
urlpatterns = []
