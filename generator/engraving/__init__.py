"""From finished pages to engraved files: text made safe, LilyPond run and judged, results put in place."""
