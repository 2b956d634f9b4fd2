"""What a page says, without its marks."""

from django.utils.html import strip_tags


def words(answer):
    return " ".join(strip_tags(answer.content.decode()).replace("&#x27;", "'").split())
