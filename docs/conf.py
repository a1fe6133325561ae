"""How the documents are built; run by Sphinx."""

project = "slowflight"
author = "the slowflight contributors"
copyright = "2026, the slowflight contributors"

extensions = ["myst_parser"]
exclude_patterns = ["_build"]
myst_heading_anchors = 3

html_theme = "furo"
html_title = "slowflight"
# The pages have to open without a network: no outside fonts or scripts, equations in plain text.
html_copy_source = False
html_show_sphinx = False
