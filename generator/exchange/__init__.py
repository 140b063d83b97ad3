"""Exercises for other programs: JSON, MusicXML, MIDI."""
