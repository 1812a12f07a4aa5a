"""The words by which the headings of ride logs tell what a column holds, in the usual languages and abbreviations.

Words are compared in small plain letters, as `columns.words_of` takes headings apart.
"""

from __future__ import annotations

from typing import Literal

Kind = Literal[
    "time", "engine", "road", "gps", "latitude", "longitude", "altitude", "gear", "throttle", "lean", "unused"
]

#: What a wheel is called, which has a speed of rotation too, and what such a speed is called.
_OF_A_WHEEL = "wheel wheels rad hinterrad vorderrad roue ruota rueda roda wiel hjul front rear"
_TURNS = "rpm drehzahl toerental giri"
#: Words for a speed.
_SPEEDS = (
    *("speed", "velocity", "geschwindigkeit", "geschw", "vitesse", "velocita", "velocidad", "velocidade", "vss"),
    *("snelheid", "hastighet", "hastighed", "predkosc", "rychlost", "nopeus", "車速", "速度"),
)
#: For each kind the words of a heading that tell it, each a set that must all be there, and words that tell against.
NAMED: tuple[tuple[Kind, tuple[str, ...], str], ...] = (
    (
        "engine",
        ("engine speed", "engine rpm", "engine revs", "motor drehzahl", "motor rpm", "regime moteur", "giri motore"),
        _OF_A_WHEEL,
    ),
    (
        "engine",
        (
            *("rpm", "revs", "enginespeed", "enginerpm", "tachometer", "tacho", "1/min", "u/min", "nmot", "n mot"),
            *("drehzahl", "motordrehzahl", "regime", "giri", "regimen", "revoluciones", "rotacao", "rotacoes"),
            *("toerental", "varvtal", "obroty", "otacky", "kierrosluku", "omdrejninger", "turtall", "回転数"),
        ),
        _OF_A_WHEEL,
    ),
    ("latitude", ("latitude", "lat", "breite", "breitengrad", "latitud", "latitudine", "緯度"), "acc accel g force"),
    (
        "longitude",
        (
            "longitude",
            "lon",
            "long",
            "lng",
            "laenge",
            "lange",
            "langengrad",
            "laengengrad",
            "longitud",
            "longitudine",
            "経度",
        ),
        "acc accel g force m km meter",
    ),
    ("gps", tuple(f"{by} {word}" for by in ("gps", "gnss", "sat", "satellite") for word in _SPEEDS), "accuracy error"),
    ("gps", ("ground speed", "gps kmh", "gps km/h", "gps mph", "gps kph", "gps v", "v gps"), "accuracy error"),
    ("gps", ("gpsspeed", "groundspeed", "gnssspeed", "sog"), "accuracy error"),
    ("road", ("rear wheel speed", "rear speed", "speed rear", "wheel speed rear", "hinterrad"), f"slip {_TURNS}"),
    (
        "road",
        ("wheel speed", "vehicle speed", "road speed", "bike speed", "wheelspeed", "vehiclespeed"),
        f"slip front {_TURNS}",
    ),
    ("road", _SPEEDS, f"slip accuracy engine motor {_TURNS}"),
    ("road", ("kmh", "km/h", "kph", "mph"), ""),
    (
        "throttle",
        (
            *("throttle", "tps", "throttleposition", "acelerador", "papillon", "farfalla", "mariposa"),
            *("gasgriff", "drosselklappe", "gas", "gasklep", "gasspjall", "acelerador", "przepustnica"),
        ),
        "exhaust temp",
    ),
    (
        "lean",
        (
            *("lean", "lean angle", "bank", "bank angle", "roll angle", "roll", "schraglage", "leanangle"),
            *("inclinaison", "inclinacion", "inclinazione", "piega", "hellingshoek", "inclinacao"),
        ),
        "rate",
    ),
    (
        "altitude",
        (
            "altitude",
            "alt",
            "elevation",
            "ele",
            "height",
            "hohe",
            "hoehe",
            "altitud",
            "quota",
            "hoogte",
            "hojd",
            "高度",
        ),
        "accuracy",
    ),
    (
        "gear",
        ("gear", "gang", "gearposition", "rapport", "marcia", "marcha", "versnelling", "vaxel", "bieg"),
        "ratio box",
    ),
    (
        "time",
        (
            *("time", "timestamp", "t", "seconds", "elapsed", "utc", "datetime", "clock", "millis", "uptime"),
            *("zeit", "uhrzeit", "zeitstempel", "temps", "heure", "tempo", "ora", "tiempo", "hora", "tijd", "tid"),
            *("czas", "時間", "時刻"),
        ),
        "lap best sector split",
    ),
)

#: Words of what rises like a time and is none.
NO_TIME = {
    *("distance", "dist", "odo", "odometer", "km", "mileage", "meter", "strecke", "weg", "lap", "laps", "runde"),
    *("index", "row", "sample", "count", "counter", "nr", "no", "id", "fuel", "trip", "frame", "latitude", "longitude"),
}
