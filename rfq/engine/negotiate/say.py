"""What arguments say to a shop, in the languages that letters are written in."""

from __future__ import annotations

from typing import Final

_SAY: Final[dict[str, dict[str, str]]] = {
    "en": {
        "element": "{part}, {pieces} pcs: of your price, {element} stands out; your breakdown has "
        "{own} a piece for it, and from the drawing we would expect about {ours}. Which step or "
        "which callout drives it?",
        "saving": "{part}, {kind}: {becomes} instead of {was}; what would a piece cost then? "
        "Nothing is decided; a change would go to all who are asked.",
        "call-off": "{part}: we expect to need {yearly} pcs a year. At which price could we call "
        "off lots of {pieces} pcs against your price for {larger} pcs ({each})?",
        "repeat": "{part}: we expect to order again within twelve months. Please confirm that a "
        "repeat is made without the one-off of {once}, or spread it over the first year.",
        "prepayment": "Payment: {share} is asked before delivery. As a new customer we would "
        "rather pay on delivery, or on release of the first article; which of the two can you "
        "take?",
        "earlier": "Payment: we could pay within 7 days of delivery instead of {days}. What is "
        "that worth to you? Something like {percent} % would suit us.",
    },
    "de": {
        "element": "{part}, {pieces} Stück: In Ihrem Preis fällt {element} auf; Ihre Aufteilung "
        "nennt dafür {own} je Stück, nach der Zeichnung würden wir etwa {ours} erwarten. Welcher "
        "Schritt oder welches Merkmal treibt das?",
        "saving": "{part}, {kind}: {becomes} statt {was}; was würde ein Stück dann kosten? "
        "Entschieden ist nichts; eine Änderung ginge an alle Angefragten.",
        "call-off": "{part}: Wir rechnen mit {yearly} Stück im Jahr. Zu welchem Preis könnten wir "
        "Lose von {pieces} Stück abrufen, gemessen an Ihrem Preis für {larger} Stück ({each})?",
        "repeat": "{part}: Wir rechnen mit einer Wiederholung binnen zwölf Monaten. Bitte "
        "bestätigen Sie, dass sie ohne die einmaligen Kosten von {once} gefertigt wird, oder "
        "verteilen Sie diese auf das erste Jahr.",
        "prepayment": "Zahlung: {share} sind vor Lieferung gewünscht. Als neuer Kunde würden wir "
        "lieber bei Lieferung oder bei Freigabe des Erstmusters zahlen; was davon ist möglich?",
        "earlier": "Zahlung: Wir könnten binnen 7 statt {days} Tagen nach Lieferung zahlen. Was "
        "ist Ihnen das wert? Etwa {percent} % wären uns recht.",
    },
}
_GERMAN: Final = {
    "material": "Material", "set-up": "Rüsten", "run": "Laufzeit", "finish": "Oberfläche",
    "inspection": "Prüfung", "callout": "Merkmal", "texture": "Rauheit", "radius": "Radius",
    "clamping": "Spannflächen", "stock": "Halbzeug", "mask": "Abdeckung", "route": "Fertigungsweg",
}  # fmt: skip


def say(what: str, **facts: object) -> dict[str, str]:
    """Return one argument in every language.

    >>> say("earlier", days=30, percent="0.9")["de"]
    'Zahlung: Wir könnten binnen 7 statt 30 Tagen nach Lieferung zahlen. Was ist Ihnen das wert? \
Etwa 0.9 % wären uns recht.'
    """
    german = dict(facts)
    for name in {"element", "kind"} & set(german):
        german[name] = _GERMAN.get(str(german[name]), german[name])
    return {
        language: texts[what].format(**(german if language == "de" else facts))
        for language, texts in _SAY.items()
    }
