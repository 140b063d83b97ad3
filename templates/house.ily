% How every page of ours looks. Holds the only Scheme; no person's words are ever written into this file.
% A sheet names its paper and staff size first, then includes this file, then holds strings and notes alone.
\version "2.24.0"
\language "english"
\pointAndClickOff

% ---- Words -----------------------------------------------------------------------------------------------

% Accidental signs inside ordinary words are drawn from the music font, which every machine has.
#(define (sign-glyph char)
   (case char
     ((#\x266D) "accidentals.flat")
     ((#\x266F) "accidentals.sharp")
     ((#\x266E) "accidentals.natural")
     (else #f)))

#(define-markup-command (sign layout props glyph lift) (string? number?)
   "An accidental sign among words, raised in proportion to their size."
   (interpret-markup layout props
     (make-concat-markup
       (list (make-hspace-markup 0.22)
             (make-raise-markup (* lift (magstep (chain-assoc-get 'font-size props 0)))
               (make-fontsize-markup -3 (make-musicglyph-markup glyph)))
             (make-hspace-markup 0.1)))))

#(define (sign-markup glyph char)
   (make-sign-markup glyph (if (eqv? char #\x266D) 0.42 0.62)))

#(define (words-and-signs text)
   (let loop ((chars (string->list text)) (word '()) (parts '()))
     (let ((closed (if (null? word)
                       parts
                       (cons (make-simple-markup (list->string (reverse word))) parts))))
       (cond
         ((null? chars) (reverse closed))
         ((sign-glyph (car chars))
          => (lambda (glyph) (loop (cdr chars) '() (cons (sign-markup glyph (car chars)) closed))))
         (else (loop (cdr chars) (cons (car chars) word) parts))))))

% A reader may need plain letters: without serifs, and none of them slanted.
#(define letters-plain #f)

#(define-markup-command (slanted layout props arg) (markup?)
   "Italics; upright where letters are plain."
   (interpret-markup layout props (if letters-plain arg (make-italic-markup arg))))

#(define-markup-command (lettered layout props arg) (markup?)
   "Words in the letters of the page."
   (interpret-markup layout
     (if letters-plain (cons '((font-family . sans)) props) props)
     arg))

#(define-markup-command (music-text layout props text) (string?)
   "Words in which the signs for flat, sharp and natural are drawn from the music font."
   (interpret-markup layout props (make-concat-markup (words-and-signs text))))

#(define (field-text props name)
   (let ((text (chain-assoc-get name props)))
     (and (string? text) (not (string-null? text)) text)))

#(define-markup-command (field layout props name) (symbol?)
   "A header field as music-text; nothing where it is empty."
   (let ((text (field-text props name)))
     (if text (interpret-markup layout props (make-music-text-markup text)) empty-stencil)))

#(define-markup-command (wrapped-field layout props name share) (symbol? number?)
   "A header field that wraps within a share of the line."
   (let ((text (field-text props name)))
     (if text
         (interpret-markup layout
           (cons (list (cons 'line-width (* share (ly:output-def-lookup layout 'line-width)))) props)
           (make-column-markup
             (list (make-vspace-markup 0.14)
                   (make-wordwrap-markup (map make-music-text-markup (string-tokenize text))))))
         empty-stencil)))

#(define-markup-command (fit layout props share arg) (number? markup?)
   "Shrink arg until it takes at most this share of the line."
   (let* ((room (* share (ly:output-def-lookup layout 'line-width)))
          (stencil (interpret-markup layout props arg))
          (width (interval-length (ly:stencil-extent stencil X))))
     (if (> width room)
         (ly:stencil-scale stencil (/ room width) (/ room width))
         stencil)))

% ---- Tempi to tick ---------------------------------------------------------------------------------------

#(define-markup-command (tick-box layout props) ()
   "An empty square standing on the baseline."
   (let ((side (* 1.25 (magstep (chain-assoc-get 'font-size props 0))))
         (line 0.1))
     (ly:stencil-add
       (ly:round-filled-box (cons 0 side) (cons 0 line) 0)
       (ly:round-filled-box (cons 0 side) (cons (- side line) side) 0)
       (ly:round-filled-box (cons 0 line) (cons 0 side) 0)
       (ly:round-filled-box (cons (- side line) side) (cons 0 side) 0))))

#(define (beat-markup token)
   (let* ((dots (string-count token #\.))
          (base (string->number (string-trim-right token #\.)))
          (log (inexact->exact (round (/ (log base) (log 2))))))
     (make-fontsize-markup -2 (make-note-markup (ly:make-duration log dots) 1))))

#(define (tempo-markup token)
   (make-concat-markup
     (cond
       ((string-prefix? "=" token) (list (make-simple-markup (substring token 1))))
       ((string=? token "_")
         (list (make-hspace-markup 0.4)
               (make-draw-line-markup '(4.5 . 0)) (make-hspace-markup 1.0)
               (make-tick-box-markup) (make-hspace-markup 0.5)
               (make-tick-box-markup) (make-hspace-markup 0.5)
               (make-tick-box-markup)))
       (else
         (list (make-simple-markup token) (make-hspace-markup 0.5) (make-tick-box-markup) (make-hspace-markup 0.35))))))

#(define-markup-command (tick-row layout props) ()
   "The field ticks, such as 4. 60 72 84: the beat, then each tempo with a square, and one like =60 without; _ leaves a line to write on."
   (let ((text (field-text props 'header:ticks)))
     (if text
         (let ((tokens (string-tokenize text)))
           (interpret-markup layout props
             (make-line-markup
               (cons (make-concat-markup
                       (list (beat-markup (car tokens)) (make-simple-markup " = ") (tempo-markup (cadr tokens))))
                     (map tempo-markup (cddr tokens))))))
         empty-stencil)))

#(define-markup-command (day-strip layout props) ()
   "The field strip, such as Mo 4|Tu 5: each day with a square to tick."
   (let ((text (field-text props 'header:strip)))
     (if text
         (interpret-markup layout (cons '((word-space . 2.4)) props)
           (make-column-markup
             (list (make-vspace-markup 0.2)
                   (make-line-markup
                     (cons (make-simple-markup "Played on")
                           (map (lambda (day)
                                  (make-concat-markup
                                    (list (make-simple-markup day) (make-hspace-markup 0.7) (make-tick-box-markup))))
                                (string-split text #\|)))))))
         empty-stencil)))

#(define-markup-command (tally-row layout props) ()
   "Where the field tally is set: a line for the tempo that was reached, and one for a stroke each time it was played."
   (if (field-text props 'header:tally)
       (interpret-markup layout props
         (make-concat-markup
           (list (make-simple-markup "reached ") (make-draw-line-markup '(4.5 . 0)) (make-hspace-markup 1.2)
                 (make-simple-markup "played ") (make-draw-line-markup '(9 . 0)))))
       empty-stencil))

#(define-markup-command (reason-line layout props) ()
   "The field reason; beside it, where the field tally is set, lines to write on."
   (interpret-markup layout props
     (if (field-text props 'header:tally)
         #{ \markup \fill-line { \slanted \wrapped-field #'header:reason #0.66 \fit #0.33 \tally-row } #}
         #{ \markup \slanted \wrapped-field #'header:reason #1 #})))

#(define-markup-command (heading-line layout props share) (number?)
   "Number, heading and concert key; wraps within its share of the line, and shrinks if one word is too long."
   (let* ((bold (lambda (word) (make-fontsize-markup 1.4 (make-bold-markup (make-music-text-markup word)))))
          (concert (field-text props 'header:concert))
          (words (append
                   (map bold (string-tokenize (or (field-text props 'header:number) "")))
                   (map bold (string-tokenize (or (field-text props 'header:heading) "")))
                   (if concert (list (make-fontsize-markup -0.6 (make-music-text-markup concert))) '()))))
     (if (null? words)
         empty-stencil
         (interpret-markup layout
           (cons (list (cons 'line-width (* share (ly:output-def-lookup layout 'line-width)))
                       (cons 'word-space 0.75))
                 props)
           (make-fit-markup share (make-column-markup (list (make-wordwrap-markup words))))))))

#(define-markup-command (heading-row layout props) ()
   "Number and heading at the left, tempi to tick at the right; the heading has all the room that the tempi leave."
   (let* ((line (ly:output-def-lookup layout 'line-width))
          (ticks (interpret-markup layout props #{ \markup \fit #0.36 \fontsize #-0.3 \tick-row #}))
          (wide (ly:stencil-extent ticks X))
          (taken (if (interval-empty? wide) 0 (+ 2 (interval-length wide))))
          (share (/ (- line taken) line)))
     (interpret-markup layout props
       (make-fill-line-markup (list (make-heading-line-markup share) (make-stencil-markup ticks))))))

#(define-markup-command (subtitle-row layout props) ()
   "Subtitle and date; nothing where there is neither."
   (if (or (field-text props 'header:subtitle) (field-text props 'header:date))
       (interpret-markup layout props
         #{ \markup \fill-line {
              \fit #0.70 \fontsize #0.2 \slanted \field #'header:subtitle
              \fit #0.28 \fontsize #0.2 \field #'header:date
            } #})
       empty-stencil))

#(define-markup-command (dipped layout props arg) (markup?)
   "Words over music, which may rise beside them by what the field dip says, in staff spaces."
   (let* ((stencil (interpret-markup layout props arg))
          (dip (chain-assoc-get 'header:dip props 0))
          (extent (ly:stencil-extent stencil Y)))
     (if (or (interval-empty? extent) (not (number? dip)))
         stencil
         (ly:make-stencil (ly:stencil-expr stencil)
           (ly:stencil-extent stencil X)
           (cons (min (+ (car extent) dip) (cdr extent)) (cdr extent))))))

#(define-markup-command (title-lines layout props share) (number?)
   "The title: smaller when it is long, wrapped when it is longer, shrunk if one word is too long."
   (let* ((text (or (field-text props 'header:title) ""))
          (size (cond ((> (string-length text) 70) 2.2) ((> (string-length text) 34) 3.6) (else 5.4)))
          (words (map (lambda (word) (make-fontsize-markup size (make-bold-markup (make-music-text-markup word))))
                      (string-tokenize text))))
     (if (null? words)
         empty-stencil
         (interpret-markup layout
           (cons (list (cons 'line-width (* share (ly:output-def-lookup layout 'line-width)))
                       (cons 'word-space 0.9)
                       (cons 'baseline-skip 3.4))
                 props)
           (make-fit-markup share (make-column-markup (list (make-wordwrap-markup words))))))))

% ---- Outlines side by side -------------------------------------------------------------------------------

#(define column-share 0.47)

#(define-markup-command (outline-cell layout props number heading concert ticks music)
     (string? string? string? string? markup?)
   "An outline under its heading, in its share of the line."
   (let* ((line (* column-share (ly:output-def-lookup layout 'line-width)))
          (here (cons (list (cons 'header:number number) (cons 'header:heading heading)
                            (cons 'header:concert concert) (cons 'header:ticks ticks))
                      props))
          (row (interpret-markup layout here #{ \markup \fit #(* 0.45 column-share) \fontsize #-1.5 \tick-row #}))
          (wide (interval-length (ly:stencil-extent row X)))
          (words (interpret-markup layout here
                   (make-fontsize-markup -0.6 (make-heading-line-markup (/ (- line wide 1.5) (ly:output-def-lookup layout 'line-width))))))
          (head (ly:stencil-add
                  words
                  (ly:stencil-translate-axis row (- line wide) X)))
          (staff (interpret-markup layout props music)))
     (ly:stencil-add
       (ly:make-stencil '() (cons 0 line) (cons 0 0))
       (ly:stencil-combine-at-edge head Y DOWN staff 0.5))))

#(define-markup-command (outline-row layout props cells) (markup-list?)
   "Outlines side by side."
   (let ((line (ly:output-def-lookup layout 'line-width))
         (props (if letters-plain (cons '((font-family . sans)) props) props)))
     (apply ly:stencil-add
       (map (lambda (cell place)
              (ly:stencil-translate-axis (interpret-markup layout props cell) (* place (- 1 column-share) line) X))
            cells (iota (length cells))))))

#(define-markup-command (free layout props height) (number?)
   "Room left free."
   (ly:make-stencil '() '(0 . 0) (cons (- height) 0)))

#(define-markup-command (section-heading layout props) ()
   "A heading over several exercises, such as Answers."
   (if (field-text props 'header:section)
       (interpret-markup layout props
         #{ \markup \column { \fontsize #3.6 \bold \field #'header:section \vspace #0.6 } #})
       empty-stencil))

% ---- Page ------------------------------------------------------------------------------------------------

\paper {
  left-margin = 16\mm
  right-margin = 14\mm
  top-margin = 12\mm
  bottom-margin = 11\mm
  indent = 0
  short-indent = 0
  ragged-right = ##f
  ragged-last = ##f
  print-first-page-number = ##t
  tagline = ##f

  markup-system-spacing = #'((basic-distance . 4) (minimum-distance . 2) (padding . 0.9) (stretchability . 2))
  score-markup-spacing = #'((basic-distance . 7.3) (minimum-distance . 5.2) (padding . 1.3) (stretchability . 30))
  score-system-spacing = #'((basic-distance . 10.8) (minimum-distance . 8) (padding . 3.4) (stretchability . 30))
  system-system-spacing = #'((basic-distance . 8.6) (minimum-distance . 7.0) (padding . 1.0) (stretchability . 10))
  top-markup-spacing = #'((basic-distance . 0) (minimum-distance . 0) (padding . 2.0) (stretchability . 0))
  last-bottom-spacing = #'((basic-distance . 5) (minimum-distance . 4) (padding . 2.2) (stretchability . 0))
  markup-markup-spacing = #'((basic-distance . 2) (minimum-distance . 1) (padding . 1.0) (stretchability . 2))
  top-system-spacing = #'((basic-distance . 1) (minimum-distance . 0) (padding . 3) (stretchability . 0))

  bookTitleMarkup = \markup \lettered \override #'(baseline-skip . 2.7) \column {
    \fill-line {
      \title-lines #0.62
      \fit #0.36 \fontsize #1.9 \field #'header:instrument
    }
    \subtitle-row
    \vspace #0.1
    \draw-hline
    \fontsize #-0.2 \day-strip
    \fontsize #-0.2 \wrapped-field #'header:remark #1
    \vspace #0.1
  }

  scoreTitleMarkup = \markup \lettered \dipped \column {
    \section-heading
    \override #'(baseline-skip . 2.45) \column {
      \heading-row
      \fontsize #-0.3 \reason-line
    }
  }

  oddHeaderMarkup = \markup \lettered \if \should-print-page-number \unless \on-first-page \fill-line {
    \fit #0.6 \fontsize #-0.3 \slanted \field #'header:title
    \fit #0.36 \fontsize #-0.3 \field #'header:instrument
  }
  evenHeaderMarkup = \oddHeaderMarkup
  oddFooterMarkup = \markup \lettered \fill-line {
    \fit #0.85 \fontsize #-1.3 \field #'header:footer
    \fontsize #-0.8 \if \should-print-page-number \fromproperty #'page:page-number-string
  }
  evenFooterMarkup = \oddFooterMarkup
}

% ---- Music -----------------------------------------------------------------------------------------------

% The treble clef of tenors. Its notes stand where they are written, so that only the 8 is added.
octaveTreble = {
  \clef "treble"
  \set Staff.clefTransposition = #-7
}

% The last bar of an exercise; the double bar that closes it.
fin = \bar "|."

% The same where the whole is played again.
again = \bar ":|."

% An outline: the first note without its stem, and an open staff to play on from.
outline =
#(define-music-function (note) (ly:music?)
   #{ \omit Stem \omit Score.BarLine #note s2. \undo \omit Score.BarLine #})

% The same within an exercise, and a double bar between its cells.
againHere = \bar ":|."
doubleBar = \bar "||"

% A passage is cut into cells whose length is their metre; it is not printed. Nor are keys announced or taken back.
metreHidden = { \omit Staff.TimeSignature \omit Score.BarNumber }
keysAlone = {
  \set Staff.explicitKeySignatureVisibility = #end-of-line-invisible
  \set Staff.printKeyCancellation = ##f
  \override Staff.KeyCancellation.break-visibility = #center-visible
}

% Words over the first note of a cell, and a number in a circle where a chunk begins.
cell =
#(define-event-function (words) (string?)
   #{ ^\markup \fontsize #-0.5 \bold \music-text #words #})
placed =
#(define-event-function (words) (string?)
   #{ ^\markup \fontsize #-1.8 \circle #words #})

% A row under the music: a heading, or "", and words, with a box after each part that a bar parts off.
below =
#(define-void-function (heading row) (string? string?)
   (let* ((parts (string-split row #\|))
          (ticks (map (lambda (part)
                        (make-concat-markup
                          (list (make-bold-markup (make-simple-markup part)) (make-hspace-markup 0.4)
                                (make-tick-box-markup) (make-hspace-markup 0.5))))
                      (cdr parts)))
          (line (make-column-markup
                  (list (make-vspace-markup 0.1)
                        (if (null? ticks)
                            (make-wordwrap-markup
                              (map make-music-text-markup (string-tokenize (car parts))))
                            (make-line-markup (cons (make-simple-markup (car parts)) ticks)))))))
     (add-text
       (if (string-null? heading)
           line
           (make-column-markup
             (list (make-vspace-markup 0.5)
                   (make-fontsize-markup 1.4 (make-bold-markup (make-music-text-markup heading)))
                   line))))))

% A chord symbol.
chordHere =
#(define-event-function (words) (string?)
   #{ -\markup \fontsize #0.5 \sans \bold \music-text #words #})

% Percussion: stems and what stands over them point up, so that the letters of the hands have their place below.
drumLine = {
  \stemUp
  \override Script.direction = #UP
  \override TupletBracket.direction = #UP
  % No letters in these heads.
  \override NoteHead.stencil = #ly:note-head::print
}
% A set of drums on five lines, whose places are named as in the treble clef.
drumStaff = { \drumLine \clef percussion \set Staff.middleCPosition = #-6 }
x = \tweak NoteHead.style #'cross \etc

% Words over a note in small type, such as a fingering.
over =
#(define-event-function (words) (string?)
   #{ ^\markup \fontsize #-1.5 \sans \music-text #words #})

% Valves under a note, one over the other, as old methods print them: 1-2 is 1 over 2.
#(define-markup-command (stacked layout props digits) (string?)
   (interpret-markup layout props
     (make-override-markup '(baseline-skip . 1.65)
       (make-center-column-markup (string-split digits #\-)))))

% Note values that stay equal where the metre changes.
sameUnit =
#(define-event-function (old new) (string? string?)
   #{ -\markup \fontsize #1 \concat { $(beat-markup old) " = " $(beat-markup new) } #})

% Long tones are spaced by time, so that barlines and hairpins stand in columns.
longTones = \with { proportionalNotationDuration = #(ly:make-moment 1/2) }

% Exercises longer than a page may be parted between lines.
mayPart = \override Score.NonMusicalPaperColumn.page-break-permission = #'allow

\layout {
  \context {
    \Score
    \remove Bar_number_engraver
    \accidentalStyle modern
    \numericTimeSignature
    \override SpacingSpanner.uniform-stretching = ##t
    \override SpacingSpanner.base-shortest-duration = #(ly:make-moment 1/16)
    \override SpacingSpanner.spacing-increment = #1.1
    % An exercise stays on one page.
    \override NonMusicalPaperColumn.page-break-permission = ##f
    \override MetronomeMark.padding = #1.2
  }
  \context {
    \Staff
    \numericTimeSignature
    \accidentalStyle modern
  }
  \context {
    \type Engraver_group
    \name MarkLine
    \consists Output_property_engraver
    \consists Dynamic_align_engraver
    \consists Text_engraver
    \consists Axis_group_engraver
    \override TextScript.self-alignment-X = #CENTER
    \override TextScript.outside-staff-priority = ##f
    \override VerticalAxisGroup.staff-affinity = #DOWN
    \override VerticalAxisGroup.nonstaff-relatedstaff-spacing = #'((basic-distance . 5) (minimum-distance . 3) (padding . 1))
  }
  \context {
    \Score
    \accepts MarkLine
  }
  % Chord symbols, on a level over their staff.
  \context {
    \MarkLine
    \name ChordLine
    \override TextScript.self-alignment-X = #LEFT
    \override VerticalAxisGroup.nonstaff-relatedstaff-spacing = #'((basic-distance . 4.2) (minimum-distance . 3) (padding . 0.6))
  }
  \context {
    \Score
    \accepts ChordLine
  }
  \context {
    \StaffGroup
    \accepts ChordLine
  }
  \context {
    \Lyrics
    ignoreMelismata = ##t
    \override LyricText.font-family = #'sans
    \override LyricText.font-size = #-1.5
    \override VerticalAxisGroup.nonstaff-relatedstaff-spacing.basic-distance = #3.2
    \override VerticalAxisGroup.nonstaff-relatedstaff-spacing.padding = #0.8
  }
}

% ---- What one reader needs -------------------------------------------------------------------------------

plainLetters =
#(define-void-function () ()
   (set! letters-plain #t))

plainLayout = \layout {
  \context {
    \Score
    \override MetronomeMark.font-family = #'sans
    \override TupletNumber.font-family = #'sans
    \override TupletNumber.font-shape = #'upright
    \override TextScript.font-family = #'sans
  }
}

% In large print few exercises stand on a page; what is left over goes between their lines as well.
largeGive = #24

% All lines thicker: staves, ledger lines, stems, slurs, hairpins, barlines.
thicker =
#(define-void-function (factor) (number?)
   (for-each
     (lambda (line)
       (ly:output-def-set-variable! $defaultpaper line (* factor (ly:output-def-lookup $defaultpaper line))))
     '(line-thickness ledger-line-thickness)))

namesInHeads = \layout {
  \context {
    \Score
    \override NoteHead.stencil = #note-head::brew-ez-stencil
    \override NoteHead.font-family = #'sans
    \override NoteHead.font-series = #'bold
  }
}

% The paper of a page in a pale colour.
#(define (tinted-page page width height color)
   (let ((stencil ((@@ (lily page) page-stencil) page)))
     (ly:prob-set-property! page 'stencil
       (ly:stencil-add
         (stencil-with-color (ly:round-filled-box (cons 0 width) (cons (- height) 0) 0) color)
         stencil))))

tinted =
#(define-void-function (red green blue) (number? number? number?)
   (ly:output-def-set-variable! $defaultpaper 'page-post-process
     (lambda (layout pages)
       (for-each
         (lambda (page)
           (tinted-page page
             (ly:output-def-lookup layout 'paper-width)
             (ly:output-def-lookup layout 'paper-height)
             (list red green blue)))
         pages))))
