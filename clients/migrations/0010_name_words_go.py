from django.db import migrations


class Migration(migrations.Migration):
    dependencies = [("clients", "0009_search_keys_of_everybody")]
    operations = [migrations.DeleteModel(name="NameWord")]
