"""What input lists call things: headers, yes and no, kinds and sides, in English, German, Dutch, French and Spanish.

Common practice, from memory: words that input lists use. They are compared folded: without case, accents and signs.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable

# Headers of what a source is, above names where nothing else holds them.
SOURCE_AND_KIND = ("sourcemic", "sourcemicrophone", "quellemikrofon", "quellemikro", "quellemic", "signalmikrofon",
                   "instrumentmikrofon", "bronmicrofoon", "bronmic", "sourcemicro", "fuentemicrofono",
                   "fuentemicro")  # fmt: skip
# What headers may be called, by what they mean; the surest first.
HEADERS: dict[str, tuple[str, ...]] = {
    "channel": ("channel", "channelno", "channelnumber", "chan", "ch", "chno", "strip",
                "kanal", "kanalnr", "kanalnummer", "kan", "kanaal", "kanaalnr", "kanaalnummer", "voie", "novoie",
                "canal", "ncanal", "nocanal", "tranche", "no", "nr", "num", "numero", "n", "nummer", "number", ""),
    "name": ("name", "source", "instrument", "what", "input", "inputname", "channelname", "sourcename", "signal",
             "description", "performer", "label", "item",
             "bezeichnung", "quelle", "signalquelle", "naam", "bron", "omschrijving", "nom", "designation",
             "libelle", "nombre", "fuente", "instrumento", "senal", "descripcion",
             "eingang", "ingang", "entree", "entrada", *SOURCE_AND_KIND),
    "kind": ("kind", "mic", "mike", "microphone", "micdi", "micordi", "mictype", "type", "device", "pickup",
             "di", "miclinedi", "mikrofon", "mikro", "mikrodi", "mikrofondi", "mikrooderdi", "abnahme", "art", "typ",
             "microfoon", "microfoondi", "soort", "micro", "microdi", "capteur", "microoudi", "microfono",
             "microfonodi", "microodi", "tipo", "captacion", *SOURCE_AND_KIND),
    "phantom": ("phantom", "phantompower", "48v", "48", "p48", "48volts", "phantom48v", "phantomspeisung",
                "phantomspannung", "phantom48", "speisung", "fantoom", "fantoomvoeding", "fantome",
                "alimentationfantome", "alimfantome", "alim48v", "fantasma", "alimentacionfantasma",
                "alimentacionphantom"),
    "box": ("box", "stagebox", "rack", "subsnake", "buhnenbox", "podiumbox", "boitier", "boitierdescene",
            "boitedescene", "caja", "cajadeescenario", "cajetin"),
    "socket": ("socket", "boxinput", "stageboxinput", "stageinput", "port", "jack", "plug", "pluggedinto", "boxin",
               "snake", "snakein", "snakeinput", "snakechannel", "snakech", "multicore", "stageboxin", "stagesocket",
               "buchse", "anschluss", "steckplatz", "boxeingang", "aansluiting", "boxingang", "prise", "embase",
               "toma", "conector", "eingangstagebox", "stageboxeingang", "eingangbox", "eingangbuhnenbox",
               "stageboxbuchse", "stageboxinput", "inputstagebox", "ingangstagebox", "stageboxingang", "ingangbox",
               "entreestagebox", "entreeboitier", "entradastagebox", "entradacaja"),
    "gain": ("gain", "gaindb", "preamp", "verstarkung", "vorverstarkung", "versterking", "ganancia", "gananciadb"),
    "cable": ("cable", "cablecolour", "cablecolor", "cablelabel", "loom", "kabel", "kabelfarbe", "kabelkleur",
              "couleurducable", "colordelcable"),
    "pan": ("pan", "panning", "panorama", "panoramique", "pano", "paneo"),
    "pair": ("pair", "stereopair", "stereo", "link", "linked", "paar", "stereopaar", "stereokoppeling", "paire",
             "pairestereo", "par", "parestereo", "estereo"),
}  # fmt: skip
# Headers that mean the channel only above numbers.
VAGUE = frozenset(("", "no", "nr", "num", "n", "number", "nummer", "numero"))
# Headers that stand above names in some lists and above numbers or sockets in others.
INPUT_WORDS = ("input", "eingang", "ingang", "entree", "entrada")
# Headers that mean the socket only above cells that name sockets, and only where nothing else does.
SOCKETS_BELOW = (*INPUT_WORDS, "in", "inputs", "stagebox", "box", "rack", "subsnake", "patch", "line", "connection",
                 "buhnenbox", "podiumbox", "boitier", "caja", "where", "wo", "waar", "ou", "donde")  # fmt: skip
# Headers that stand above boxes in some lists and above sockets in others.
BOX_OR_SOCKETS = ("stagebox", "box", "rack", "subsnake", "snake", "multicore", "multi", "stagesnake",
                  "buhnenbox", "podiumbox", "boitier", "boitierdescene", "caja", "cajadeescenario")  # fmt: skip
# Headers that stand above names in some lists and, beside another with the names, above kinds in others.
EITHER = ("source", "quelle", "signalquelle", "bron", "fuente", "type", "typ", "art", "soort", "tipo")
YES = frozenset(("y", "yes", "x", "on", "1", "true", "48", "48v", "+48", "+48v", "✓", "✔", "☑", "p48",
                 "phantom", "phantom power", "phantom on", "48 v", "+48 v", "needed", "required", "fantom", "fantome",
                 "ja", "j", "an", "ein", "aan", "oui", "o", "si", "sí", "s"))  # fmt: skip
NO = frozenset(("", "n", "no", "off", "0", "false", "-", "–", "—", "none", "nein", "nee", "aus", "uit", "non",
                "kein", "keine", "keines", "geen", "sans", "sin", "no phantom", "keine phantom"))  # fmt: skip
SIDES = {
    "left": frozenset(("l", "left", "links", "li", "gauche", "g", "izquierda", "izq", "i", "100l", "l100")),
    "right": frozenset(("r", "right", "rechts", "re", "droite", "d", "derecha", "der", "100r", "r100")),
    "centre": frozenset(("c", "center", "centre", "mitte", "m", "midden", "milieu", "centro", "0")),
}
PAIR = re.compile(r"\b(pair|stereo|st|2x|x2|both|l ?[+&/-] ?r|paar|paire|estereo|par)\b")
STEREO = re.compile(r"\b(stereo|pair|paar|paire|estereo|2x|x2|l ?[+&/-] ?r)\b")
# The first pattern that fits says what a thing is; None where it depends on phantom power.
KINDS: tuple[tuple[str, str | None], ...] = (
    (r"\b(active ribbon|aktives bandchen|actief lint|ruban actif|cinta activ[ao])\b", "active-ribbon-microphone"),
    (r"\b(ribbon|bandchen\w*|bandmicrofoon|lintmicrofoon|ruban|cinta)\b", "ribbon-microphone"),
    (r"\b(active|aktive|actieve) (d\.?i\.?|direct)\b|\bd\.?i\.?( box)? (active|aktiv|actief|activa)\b", "active-di"),
    (r"\b(passive|passieve) (d\.?i\.?|direct)\b|\bd\.?i\.?( box)? (passive|passiv|passief|pasiva)\b", "passive-di"),
    (r"\bd\.?i\.?( box)?\b|\bdirect( box)?\b", None),
    (r"\b(boundary|grenzflache\w*|grensvlak\w*|surface|pzm)\b", "boundary-microphone"),
    (r"\b(wireless|radio|rf|hf|hand ?held|headset|belt ?pack|receiver|funk\w*|draadloos|draadloze|sans fil|"
     r"inalambric[oa]|zender)\b", "wireless-receiver"),
    (r"\b(lav(alier)?|ansteck\w*|dasspeld|cravate|solapa)\b", "lavalier-microphone"),
    (r"\b(cond(enser)?|small diaphragm|large diaphragm|gooseneck|kondensator\w*|condensator\w*|condensateur|statique|"
     r"electrostatique|condensador|schwanenhals)\b", "condenser-microphone"),
    (r"\b(dyn(amic)?|dynamisch\w*|tauchspule\w*|dynamique|dinamic[oa])\b", "dynamic-microphone"),
    (r"\b(player|playback|laptop|computer|media|cd|tablet|zuspieler|zuspielung|afspeler|lecteur|reproductor|ordinateur|"
     r"ordenador)\b", "player"),
    (r"\b(intercom|talkback)\b", "intercom"),
    (r"\b(line|lijn|ligne|linea)\b", "instrument-line"),
)  # fmt: skip


def folded(text: str) -> str:
    """Return text without case and accents."""
    plain = unicodedata.normalize("NFKD", text.casefold().replace("ß", "ss"))
    return "".join(letter for letter in plain if not unicodedata.combining(letter))


def header(text: str) -> str:
    """Return a header as HEADERS has it: folded, letters and digits alone."""
    return re.sub(r"[^a-z0-9]", "", folded(text))


def side_of(text: str) -> str | None:
    """Return left, right or centre for what a list says of the pan, or None."""
    plain = re.sub(r"[ .%]", "", folded(text))
    return next((side for side, words in SIDES.items() if plain in words), None)


def pairs_by_name(rows: Iterable[tuple[str, str]]) -> list[tuple[str, int, int]]:
    """Return the pairs among (name, kind) rows whose names differ in their side alone, such as `Piano L` and `Piano R`.

    Each is (of what, index of the left, index of the right).
    """
    sides: dict[tuple[str, str, str], list[int]] = {}
    for index, (name, kind) in enumerate(rows):
        if said := pair_name(name):
            sides.setdefault((*said, kind), []).append(index)
    found = [
        (of, left, sides.get((of, "right", kind), [])) for (of, side, kind), left in sides.items() if side == "left"
    ]
    return [(of, left[0], right[0]) for of, left, right in found if len(left) == len(right) == 1]


_ENDING = re.compile(r"(.*?)[ _-]*\b(?:\(?(l|left|links|gauche|izquierda|izq|r|right|rechts|droite|derecha|der)\)?)")


def pair_name(name: str) -> tuple[str, str] | None:
    """Return what a name of one side of a pair says: of what, and which side (`Piano L`: piano, left)."""
    found = _ENDING.fullmatch(folded(name).strip())
    side = side_of(found[2]) if found and found[1] else None
    return (found[1], side) if found and side else None
