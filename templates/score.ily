% What scores, parts and tables of a handout need beyond house.ily; included after it.
\version "2.24.0"

% ---- Words -----------------------------------------------------------------------------------------------

#(define-markup-command (blanks layout props) ()
   "The field blanks, such as Name 34|Date 16: each word with a line to write on, as long as its number says."
   (let ((text (field-text props 'header:blanks)))
     (if text
         (interpret-markup layout props
           (make-line-markup
             (map (lambda (part)
                    (let* ((tokens (string-tokenize part))
                           (words (reverse (cdr (reverse tokens))))
                           (length (string->number (car (reverse tokens)))))
                      (make-concat-markup
                        (list (make-music-text-markup (string-join words " "))
                              (make-hspace-markup 0.7)
                              (make-lower-markup 0.35 (make-draw-line-markup (cons length 0)))
                              (make-hspace-markup 0.8)))))
                  (string-split text #\|))))
         empty-stencil)))

#(define-markup-command (staff-name layout props room first second) (number? string? string?)
   "The name at a staff, in one line or two; smaller where it is wider than its room."
   (let* ((stencil (interpret-markup layout props
                     (make-override-markup '(baseline-skip . 2.3)
                       (if (string-null? second)
                           (make-music-text-markup first)
                           (make-right-column-markup
                             (list (make-music-text-markup first) (make-music-text-markup second)))))))
          (wide (ly:stencil-extent stencil X)))
     (if (or (interval-empty? wide) (<= (interval-length wide) room))
         stencil
         (ly:stencil-scale stencil (/ room (interval-length wide)) (/ room (interval-length wide))))))

#(define-markup-command (players-line layout props words) (string?)
   "Who plays: wrapped within what the line leaves beside clef and signature."
   (interpret-markup layout
     (cons (list (cons 'line-width (* 0.86 (ly:output-def-lookup layout 'line-width)))
                 (cons 'word-space 0.55)
                 (cons 'baseline-skip 2.2))
           props)
     (make-lettered-markup
       (make-column-markup (list (make-wordwrap-markup (map make-music-text-markup (string-tokenize words))))))))

% ---- Tables ----------------------------------------------------------------------------------------------

#(define (rows-of cells count)
   (if (null? cells)
       '()
       (let ((size (min count (length cells))))
         (cons (list-head cells size) (rows-of (list-tail cells size) count)))))

#(define (cell-stencil layout props width text)
   "Words wrapped to a width; shrunk when one of them is longer."
   (let* ((words (string-tokenize text))
          (stencil
            (if (null? words)
                empty-stencil
                (interpret-markup layout
                  (cons (list (cons 'line-width width) (cons 'word-space 0.6)) props)
                  (make-override-markup '(baseline-skip . 2.5)
                    (make-column-markup (list (make-wordwrap-markup (map make-music-text-markup words))))))))
          (wide (if (null? words) 0 (interval-length (ly:stencil-extent stencil X)))))
     (if (> wide width)
         (ly:stencil-scale stencil (/ width wide) (/ width wide))
         stencil)))

#(define (cell-lines stencil)
   (if (ly:stencil-empty? stencil)
       0
       (+ 1 (inexact->exact (round (/ (max 0 (- -0.7 (car (ly:stencil-extent stencil Y)))) 2.5))))))

#(define (ruled x0 y0 x1 y1)
   (let ((half 0.06))
     (ly:round-filled-box (cons (- x0 half) (+ x1 half)) (cons (- y0 half) (+ y1 half)) 0)))

#(define-markup-command (ruled-table layout props least widths cells) (number? string? markup-list?)
   "A table whose first row is its heading: least height of a row, relative widths of its columns, cells row by row."
   (let* ((line (ly:output-def-lookup layout 'line-width))
          (shares (map string->number (string-tokenize widths)))
          (columns (map (lambda (share) (* line (/ share (apply + shares)))) shares))
          (lefts (let loop ((x 0) (left columns) (found '()))
                   (if (null? left) (reverse found) (loop (+ x (car left)) (cdr left) (cons x found)))))
          (pad 0.7)
          (bold (cons (list (cons 'font-series 'bold)) props))
          (y 0)
          (all (list (ruled 0 0 line 0))))
     (for-each
       (lambda (row number)
         (let* ((stencils (map (lambda (text width)
                                 (cell-stencil layout (if (= number 0) bold props) (- width (* 2 pad)) text))
                               row columns))
                (lines (map cell-lines stencils))
                (room (lambda (count) (+ 2.0 (* 2.5 (- count 1)))))
                (height (max least (+ (room (apply max 1 lines)) (* 1.4 pad)))))
           (for-each
             (lambda (stencil x count width text)
               (if (not (ly:stencil-empty? stencil))
                   ; The first baseline lies a letter's height below the top of the words.
                   ; Points like /2 leave room at their left to write on.
                   (let ((slack (/ (- height (room count)) 2))
                         (before (if (string-prefix? "/" text)
                                     (- width pad (interval-length (ly:stencil-extent stencil X)))
                                     pad)))
                     (set! all
                       (cons (ly:stencil-translate stencil (cons (+ x before) (- y slack 1.55))) all)))))
             stencils lefts lines columns row)
           (set! y (- y height))
           (set! all (cons (ruled 0 y line y) all))))
       (rows-of cells (length columns))
       (iota (length (rows-of cells (length columns)))))
     (for-each (lambda (x) (set! all (cons (ruled x y x 0) all))) (cons line lefts))
     (apply ly:stencil-add all)))

#(define-markup-command (paragraph layout props text) (string?)
   "Words over the whole line."
   (interpret-markup layout
     (cons (list (cons 'line-width (ly:output-def-lookup layout 'line-width))) props)
     (make-column-markup (list (make-wordwrap-markup (map make-music-text-markup (string-tokenize text)))))))

#(define-markup-command (notices layout props lines) (markup-list?)
   "Lines of their own under the remark, each wrapped where it is longer than the line."
   (interpret-markup layout props
     (make-column-markup (map make-paragraph-markup lines))))

% ---- Headings beside their lines -------------------------------------------------------------------------

#(define-markup-command (beside layout props room heading concert ticks) (number? string? string? string?)
   "Number and key, the concert key, and tempi to tick under one another, at the left of their line."
   (let* ((here (cons (list (cons 'header:ticks ticks)) props))
          (rows (append
                  (list (make-fontsize-markup 0.9 (make-bold-markup (make-music-text-markup heading))))
                  (if (string-null? concert) '() (list (make-fontsize-markup -1.4 (make-music-text-markup concert))))
                  (list (make-fontsize-markup -1.9 (make-tick-row-markup)))))
          (stencil (interpret-markup layout here
                     (make-lettered-markup (make-override-markup '(baseline-skip . 2.25) (make-column-markup rows)))))
          (wide (interval-length (ly:stencil-extent stencil X)))
          (shown (if (> wide room) (ly:stencil-scale stencil (/ room wide) (/ room wide)) stencil)))
     ; As wide as its room, so that all of them begin at the margin.
     (ly:make-stencil (ly:stencil-expr shown) (cons 0 room) (ly:stencil-extent shown Y))))

besideLines = #'((basic-distance . 9.5) (minimum-distance . 8) (padding . 1) (stretchability . 30))
besideTitle = #'((basic-distance . 6) (minimum-distance . 4.5) (padding . 1.5) (stretchability . 4))

% ---- Page ------------------------------------------------------------------------------------------------

\paper {
  bookTitleMarkup = \markup \lettered \override #'(baseline-skip . 2.7) \column {
    \fill-line {
      \fit #0.62 \fontsize #5.4 \bold \field #'header:title
      \fit #0.36 \fontsize #1.9 \field #'header:instrument
    }
    \vspace #0.15
    \fill-line {
      \fontsize #0.2 \slanted \wrapped-field #'header:subtitle #0.46
      \fit #0.52 \fontsize #0 \blanks
    }
    \vspace #0.15
    \draw-hline
    \fontsize #-0.2 \wrapped-field #'header:remark #1
    \fontsize #-0.2 \fromproperty #'header:notices
    \vspace #0.1
  }
}

% ---- Staves ----------------------------------------------------------------------------------------------

% A bracket inside a bracket joins the parts of one instrument.
square = \with { systemStartDelimiter = #'SystemStartSquare }

scorePaper = \paper {
  system-separator-markup = \slashSeparator
  system-system-spacing = #'((basic-distance . 15) (minimum-distance . 12) (padding . 3.5) (stretchability . 14))
}

% A score names its staves and numbers its bars; house.ily does neither.
scoreLayout = \layout {
  \context {
    \Score
    \consists Bar_number_engraver
    \override BarNumber.padding = #2.2
    \override BarNumber.font-size = #0
    \override NonMusicalPaperColumn.page-break-permission = #'allow
    \override SystemStartBracket.collapse-height = #5
    \override SystemStartSquare.collapse-height = #5
  }
  \context {
    \StaffGroup
    \override StaffGrouper.staff-staff-spacing = #'((basic-distance . 7.6) (minimum-distance . 6.2) (padding . 0.7) (stretchability . 6))
    \override StaffGrouper.staffgroup-staff-spacing = #'((basic-distance . 9.4) (minimum-distance . 7.6) (padding . 1) (stretchability . 8))
  }
  \context {
    \Staff
    \override InstrumentName.padding = #0.8
    \override InstrumentName.self-alignment-X = #RIGHT
    \override VerticalAxisGroup.default-staff-staff-spacing = #'((basic-distance . 8.4) (minimum-distance . 6.6) (padding . 0.8) (stretchability . 8))
  }
}

% Who plays, at the beginning of a staff of a condensed score.
players =
#(define-event-function (words) (string?)
   #{ -\tweak outside-staff-priority #600 -\markup \players-line #words #})

condensedSystems = #'((basic-distance . 12) (minimum-distance . 9) (padding . 2) (stretchability . 10))

condensedLayout = \layout {
  \context {
    \Score
    \consists Bar_number_engraver
    \override BarNumber.padding = #1.4
    \override BarNumber.font-size = #-1
  }
  \context {
    \PianoStaff
    \override StaffGrouper.staff-staff-spacing = #'((basic-distance . 8.5) (minimum-distance . 7) (padding . 1) (stretchability . 4))
  }
  \context {
    \Staff
    \override TextScript.font-size = #-1
    \override TextScript.padding = #0.6
  }
}
