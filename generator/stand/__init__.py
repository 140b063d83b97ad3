"""The stand page: a small web server for the phone, tablet or laptop on the music stand.

Rooms below do all the work; here are addresses, the guard at the door (`guard`), and the press that stays warm.
Nothing here is loaded by any command but `stand`.

The agreement between server and page
-------------------------------------


Every answer is JSON unless it says otherwise. A GET changes nothing. A POST has the page's own Origin, the content
type ``application/json`` and at most 16 kB, else 403, 415, 413; a foreign Host is 421; with ``--lan`` a device
without the code's cookie gets 401 and the page that asks for it. What cannot be done answers 4xx or 5xx with
``{"error": {"message": one line, ...}}``: 404 unknown, 409 the sheet is another by now (ask for today again), 422
what was asked cannot be, 500 LilyPond or the disk failed.

Lengths of notes are fractions of a whole note (0.25 is a quarter). Tempi are beats a minute of ``tempo.unit``, and
so is the tempo of ``played``. A picture is an SVG text exactly ``w`` pixels wide when it is shown at full width; its
height follows from its ``viewBox``. ``w`` and ``h`` are CSS pixels of the room for music, 240 to 8000 and 60 to
8000; a picture is never higher than ``h`` unless one line of music is. ``size`` is small, fit, large or very large.

``GET /`` is ``page/index.html``; ``GET /page/NAME`` another file of that folder (a fixed list, made at the start:
.html .js .css .svg .png .webmanifest). ``GET /?code=CODE`` sets the cookie and leads to ``/``.

EXERCISE, wherever one is told::

    {"heading", "concert": "concert B-flat major" or "", "phrase": canonical,
     "tempo": {"unit": "1/4", "bpm": 84}, "tempi": [60, 72, 84] or [], "asked": whether a tempo was asked for,
     "metre": "4/4", "beats_per_bar": 4,
     "bars": [[0.25, 0.25, 0.25, 0.25], ...] from click to click in each bar, "speeds": [1, ...] for each bar, times
     the tempo, "swing": false, "feel": "", "concert_tonic_midi": 58 or null, "a4": 440,
     "notes": [{"midi", "start", "length", "loud": 1..127}, ...], "length": of the whole,
     "high": false, "cautions": [sentence, ...], "told": [line, ...] such as a span that was narrowed,
     "why": a line about the music, "beneath": [[heading, line], ...] rows under it, boxes to tick after its bars |,
     "pictures": [svg, ...] one for each screen page, "more": [EXERCISE, ...] what follows under the same number}

- ``GET /api/start`` -> ``{"player", "instrument", "label", "level", "plan": path or null, "date", "version", "lan":
  bool, "addresses": [...], "reader": {"size"}, "home", "settings": as GET /api/settings}``
- ``GET /api/today?w=&h=&size=`` -> ``{"sheet": CODE or null until started, "code": CODE it has or will have, "date",
  "weekday", "title", "minutes", "rest_minutes", "promise", "thread", "notes": [sentence], "remarks": [line], "items":
  [...]}``; each item is ``{"rest": false, "number", "reason", "first": bool (carries the promise), "minutes",
  "done": null or {"felt", "tempo", "uid"}, ...EXERCISE}`` or ``{"rest": true, "seconds", "words"}``. ``pictures=0``
  leaves the pictures out. Looking writes nothing.
- ``GET /api/picture?number=&w=&h=&size=`` -> ``{"number", "code", "pictures", "more": [pictures of each that
  follows]}`` of one exercise of today's sheet
- ``POST /api/start-today {}`` -> ``{"sheet": CODE}``: the sheet is in the log from now on
- ``POST /api/preview {"phrase", "instrument"?, "level"?, "w", "h", "size"?, "at"?}`` -> ``{"svg": first page,
  "count": how many exercises the phrase asks for, "at": which of them this is (from 0), ...EXERCISE}`` or 422
  ``{"error": {"message", "span": [a, b], "expected": [...], "suggestions": [whole phrases], "replacements":
  [{"span", "text", "phrase"}]}}``; span counts characters (UTF-16, as JavaScript does) from 0, b behind the last
- ``POST /api/played {"sheet": CODE, "number", "felt": "lost|shaky|steady|secure", "tempo"?, "minutes"?, "uid",
  "day"?}`` -> ``{"noted": true, "again": whether this uid was noted before, "sheet", "number", "waits": text}``.
  ``uid`` is 8 to 64 of A-Z a-z 0-9 - _; sending it twice is one entry. ``day`` (2027-03-07) is the player's own date
  of the tap, for taps that waited; without it, today. A sheet that is not in the log yet is started by it. To change
  what was noted, send another uid for the same number.
- ``POST /api/undo {"uid"}`` -> ``{"undone": true, "again": bool}``; what it had replaced counts again. Takes the uid
  of a tap, or that of ``done``.
- ``GET /api/progress`` -> ``{"columns": [names], "rows": [{"form", "cells": [KEY or null, ...]}], "map": [KEY, ...],
  "keyless": [KEY], "due": [KEY], "coming": [KEY], "never": number, "kept": number, "days": [{"day", "plays",
  "minutes"}], "practised", "of", "week": [sentence], "aims": [{"line", "phrase", "tempo", "by", "due", "carried":
  weeks, "reached": day or null, "last": tempo or null}], "text": [line]}``; KEY is ``{"key", "form", "line": phrase,
  "heading", "last": days ago or null, "waited", "gap": wanted, "due": bool, "step": 0..3, "felt": word or null,
  "tempo", "goal"}``
- ``GET /api/names`` -> ``{"instruments": [{"name", "label", "family", "pitched", "aliases"}], "levels", "keys":
  [{"name", "label"}], "forms", "figures", "spans", "rhythms", "articulations": [{"name", "means", "group",
  "example"}], "sizes", "felt"}``
- ``POST /api/complete {"phrase": typed up to the cursor}`` -> ``{"offers": [{"text", "phrase"}]}``
- ``GET /api/plan`` -> PLAN: ``{"path": or null where it is the starter plan, "target": where a change is written,
  "text", "base": digest, "fields": {name: value or null}, "keep": [{"line", "phrase", ...}], "lists": [{"line",
  "name", "date", ...}], "dress": [...], "aims": [{"line", "phrase", "by", ...}], "promise", "days", "exercises",
  "minutes_once", "kinds": [{"kind", "exercises", "minutes"}], "offers": [{"days", "minutes"}], "summary": [line],
  "warnings": [line], "themes", "levels"}``
- ``POST /api/plan {"changes": [{"field", "value"} for the head, {"keep": line, "set": {...}}, {"list": line, "set":
  {...}}, {"aim": line, "set": {...}}, {"remove": line, "table"?: "keep|list|dress|aim"}, {"add": {...}, "table"?}] or
  "text": the whole file, "try"?: bool, "base"?: digest}`` -> ``{"plan": PLAN, "promise", "before": promise,
  "warnings", "saved": bool}``; lines are those of the plan that was looked at; null takes a field out; 422 with
  ``error.faults``, a mistake each; 409 if it was changed meanwhile. Comments stay. ``try`` writes nothing.
- ``GET /api/passages`` -> ``{"passages": [PASSAGE]}``; PASSAGE is ``{"name", "place": "bars 97-99", "source",
  "goal": beats a minute or null, "unit": of the goal, "hard", "instrument", "concert", "scales": [phrase]}``
- ``POST /api/sent-file {"uid", "name", "at": from 0, "of", "data": at most 11,000 bytes as base64}`` -> ``{"file": uid,
  "whole"}``: a file in pieces, in order, 8 MB at most; the newest four are kept in memory under their uid
- ``POST /api/drill {"name": of a kept passage, or "notes": a line of ABC, or "file": uid, and "bars"?, "part"?, "key"?,
  "hard"?, "goal"?, "concert"?, "instrument"?, "level"?, "at"?, "w", "h"}`` -> ``{...PASSAGE, "kept", "player":
  instrument, "recipes": [{"recipe", "heading"}], "left_out": [line], "at", "count", ...EXERCISE of that recipe}``; 422
  with ``error.parts``, their names, where one of several parts has to be chosen
- ``POST /api/passage {"keep": name, "source"?, and a passage as above}`` -> ``{"kept", "phrase", "passages"}``,
  ``{"drop": name}`` -> ``{"dropped", "passages"}``; ``POST /api/drill-sheet`` a passage as above, "title"?, "paper"?,
  "print"? -> ``{"job"}``
- ``GET /api/sections`` -> ``{"sections": [{"name", "title", "chairs": number, "example": bool, "fault"?}]}``
- ``POST /api/section {"section": name} or {"text", "kind": "toml|csv"} or {"file": uid} or {"instruments": "flute, 2
  clarinet"}, and "answers"?: [{"field", "said", "means"}], "phrase"?, "chair"?: number, "w", "h"`` -> ``{"title",
  "note", "chairs": [{"number", "name", "instrument", "label", "level", "person", "copies", "reads": [key]}], "copies",
  "faults": [line], "questions", "remarks": [line], "headings", "together", "left_out": [line], "chair": number or
  null, ...EXERCISE of that chair}``; a file with mistakes has no chairs, and its faults. A roster has the chairs that
  are certain, and a fault for each doubtful cell; "questions" are ``[{"field", "said", "reason", "likely": [name],
  "faults": those it is about, "lines": [{"line", "person"}]}]``, which answers settle ("-" leaves the lines out).
  ``POST /api/keep-section`` the same -> ``{"section": name, "sections"}``, a section file beside the plan
- ``POST /api/handout {section as above, "phrases": [...], "score"?: bool, "warm_up"?: minutes, "own_range"?,
  "exact"?, "title"?, "paper"?, "print"?}`` and ``POST /api/sheet {"phrases", "format"?: "pdf", "instrument"?,
  "level"?, "title"?, "paper"?, "print"?}`` -> ``{"job": ID}``
- ``GET /api/job/ID`` -> ``{"state": "working|done|failed|stopped", "done", "of", "files": [{"name", "size", "kind"}],
  "warnings", "error": null or {"message"}}``, the file of kind "all" holding all the others; ``POST /api/job/ID/stop
  {}`` the same; ``GET /api/file/ID/NAME`` -> the bytes (names from the job's own list; ``everything.zip`` holds them
  all). The last four jobs are kept.
- ``GET /api/settings``, ``POST /api/settings {"instrument"?, "level"?, "a4"?, "accent"?, "size"?}`` ->
  ``{"instrument": or null, "level": or null, "a4": 440, "accent": true, "size": "fit"}``
- ``GET /api/events`` -> server-sent events: ``event: noted|undone|started|plan|settings|job``, data JSON. Each device
  hears what the others do; a comment comes every 15 seconds.
- ``GET /api/day?day=`` -> what was noted on a day: ``{"day", "sheets": [{"sheet", "done": {number:
  {"felt", "tempo", "uid"}}}]}``

One file
--------

`one_file.one_file` lays the same page into a single text with the sheet inside. There the page asks nobody: taps stay
in that browser and come home as one line of capitals, digits, points and spaces, typed, copied or scanned from its QR
code::

    CODE YYYYMMDD NUMBER.FELT[.TEMPO] ... +CHECK        QH9Q 20270307 1.3.84 2.4 5.2.60 +MMR

felt is 1 lost, 2 shaky, 3 steady, 4 secure. CHECK is three letters made of all that stands before " +": beginning
with 7, the sum is multiplied by 37 and the number of the sign added, for each sign, modulo 32749; then its three
digits to the base 32 are letters of 23456789ABCDEFGHJKLMNPQRSTUVWXYZ (`practice.brought_home`). The same line twice
notes nothing new: code, day and number name a tap.
"""
