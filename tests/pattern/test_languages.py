"""German, French and Spanish: what is said in any order is read, and what may say otherwise asked.

Counts by hand; three rows to a centimetre. Words from memory.
"""

import pytest

from engine.pattern.check import check_pattern

PAGES = {
    "de": (
        "Maschenprobe: 20 M und 30 R = 10 cm\n40 Maschen anschlagen.\n"
        "4 Reihen kraus rechts stricken.\n{}\nAlle Maschen abketten.\n"
    ),
    "fr": (
        "Échantillon : 20 m et 30 rangs = 10 cm\nMonter 40 mailles.\n"
        "Tricoter 4 rangs au point mousse.\n{}\nRabattre toutes les mailles.\n"
    ),
    "es": (
        "Muestra: 20 puntos y 30 vueltas = 10 cm\nMontar 40 puntos.\n"
        "Tejer 4 vueltas a punto bobo.\n{}\nCerrar todos los puntos.\n"
    ),
}


@pytest.mark.parametrize(
    ("tongue", "said", "rows"),
    [
        ("de", "Danach glatt rechts weiterstricken, bis die Arbeit 10 cm ab Anschlag misst.", 30),
        ("de", "Nun noch 10 Reihen glatt rechts stricken.", 14),
        (
            "de",
            "1. R: re.\n2. R: li.\n1. und 2. Reihe insgesamt 5 mal stricken.",
            14,
        ),
        ("de", "Beidseitig in jeder 4. Reihe 3 mal 1 M abnehmen.", 16),
        ("de", "Beidseitig 3 M abketten, dann in jeder 2. R noch 2 x je 1 M abk.", 10),
        ("de", "In der nächsten Reihe gleichmäßig verteilt 4 M zunehmen.", 5),
        ("fr", "Continuez en jersey jusqu'à 10 cm de hauteur totale.", 30),
        (
            "fr",
            "1er rg : end.\n2e rg : env.\nRépétez ces 2 rangs cinq fois en tout.",
            14,
        ),
        ("fr", "1er rang : endroit.\n2e rang : envers.\nRépéter encore 5 fois ces 2 rangs.", 16),
        ("fr", "Rabattre de chaque côté tous les 2 rgs : 1 fois 3 m, 2 fois 1 m.", 10),
        ("es", "Se tejen 10 vueltas en punto jersey.", 14),
        ("es", "1ª vuelta: derecho.\n2ª vuelta: revés.\nRepetir estas 2 vueltas 5 veces más.", 16),
        ("es", "Cerrar a cada lado cada 2 vueltas: 3 p y 2 veces 1 p.", 10),
    ],
)
def test_sentences_about_rows(tongue: str, said: str, rows: int) -> None:
    found = check_pattern(PAGES[tongue].format(said))
    assert found.sound
    assert [size.rows for size in found.counts] == [rows]


@pytest.mark.parametrize(
    ("tongue", "said"),
    [
        ("de", "Glatt rechts stricken bis 5 cm vor der gewünschten Länge."),
        ("de", "Glatt rechts stricken, bis das Teil 5 cm kürzer als das Rückenteil ist."),
        ("de", "6 cm glatt rechts über die mittleren 20 M stricken."),
        ("de", "Glatt rechts stricken bis 10 cm, jedoch nur auf der rechten Seite."),
        ("de", "In der nächsten Runde jede 9. und 10. M zusammenstricken."),
        ("de", "Die Arbeit in der Mitte teilen und beide Seiten getrennt beenden."),
        ("fr", "Diviser le travail en deux."),
        ("es", "Hacer el otro lado a la inversa."),
        ("fr", "Continuer en jersey jusqu'à 5 cm avant la longueur souhaitée."),
        ("fr", "Tricoter 10 rangs en jersey, sauf la bordure."),
        ("fr", "Répéter le rang 1 jusqu'à 10 cm."),
        ("es", "Seguir en punto jersey hasta 5 cm antes del largo deseado."),
        ("es", "Tejer 10 vueltas en jersey, excepto los bordes."),
    ],
)
def test_what_is_said_beside_how_long_it_goes_on_is_asked(tongue: str, said: str) -> None:
    assert not check_pattern(PAGES[tongue].format(said)).sound
