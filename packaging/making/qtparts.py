"""What of Qt is carried: the modules that the program imports, and the plugins that these load. A test guards it."""

from __future__ import annotations

from gearplan.language import LANGUAGES

#: Modules of PySide6 that are imported, by the program or by its charts (the two of OpenGL).
MODULES = ("QtCore", "QtGui", "QtOpenGL", "QtOpenGLWidgets", "QtPrintSupport", "QtSvg", "QtWidgets")

#: Imported by the chart library where it is there, for its own tests; it is left out.
LEFT_OUT = ("QtTest",)

#: Plugins by folder. Each asks for libraries of its own; one that lacks a library is passed over by Qt.
PLUGINS = (
    "iconengines/libqsvgicon.so",
    "imageformats/libqjpeg.so",
    "imageformats/libqsvg.so",
    "platforminputcontexts/libcomposeplatforminputcontextplugin.so",
    "platforminputcontexts/libibusplatforminputcontextplugin.so",
    "platforms/libqoffscreen.so",
    "platforms/libqwayland.so",
    "platforms/libqxcb.so",
    "platformthemes/libqgtk3.so",
    "platformthemes/libqxdgdesktopportal.so",
    "printsupport/libcupsprintersupport.so",
    "wayland-decoration-client/libadwaita.so",
    "wayland-decoration-client/libbradient.so",
    "wayland-graphics-integration-client/libqt-plugin-wayland-egl.so",
    "wayland-shell-integration/libxdg-shell.so",
    "xcbglintegrations/libqxcb-egl-integration.so",
    "xcbglintegrations/libqxcb-glx-integration.so",
)

#: Qt's own words in the languages that are spoken.
TRANSLATIONS = tuple(f"qtbase_{language}.qm" for language in LANGUAGES if language != "en")
