"""Where a text that found nothing belongs when somebody is taken in as new."""

from shopdesk.domain import text


def field_for(typed: str) -> tuple[str, str]:
    """Give the form ("customer" or "vehicle") and the field that a text nobody has fits best.

    Seventeen letters and digits are a VIN; digits alone, with the marks of a telephone number, are a
    phone; letters with digits a plate; anything else a name.
    """
    key = text.plate_key(typed)
    digits = sum(each.isdecimal() for each in key)
    if len(key) == 17 and digits and " " not in typed.strip():
        return "vehicle", "vin"
    if digits >= 7 and digits == len(key):
        return "customer", "phones"
    if digits and len(key) <= 10:
        return "vehicle", "plate"
    return "customer", "name"
