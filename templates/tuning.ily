% The tuning page: notes in order, and rows beneath to read and to write in.
\version "2.24.0"

#(define-markup-command (blank layout props) ()
   "A line to write a number or a fingering on."
   (interpret-markup layout props (make-draw-line-markup '(5.2 . 0))))

#(define-markup-command (row-text layout props text) (string?)
   "Words beneath a note; signs for flat and sharp from the music font."
   (interpret-markup layout props (make-music-text-markup text)))

\layout {
  indent = 19\mm
  short-indent = 19\mm
  \context {
    \Score
    \override SpacingSpanner.uniform-stretching = ##f
    \override NonMusicalPaperColumn.page-break-permission = #'allow
  }
  \context {
    \Staff
    \remove Time_signature_engraver
    \override BarLine.stencil = ##f
    \accidentalStyle forget
  }
  \context {
    \Lyrics
    \override InstrumentName.font-size = #-1.5
    \override InstrumentName.font-series = #'medium
    \override InstrumentName.self-alignment-X = #LEFT
    \override LyricText.font-size = #-1.2
    \override VerticalAxisGroup.nonstaff-relatedstaff-spacing.basic-distance = #4
    \override VerticalAxisGroup.nonstaff-nonstaff-spacing.minimum-distance = #4.8
  }
}
