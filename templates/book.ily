% What a bound book needs beyond house.ily; included after it.
\version "2.24.0"

% ---- Words -----------------------------------------------------------------------------------------------

#(define (chapter-opens layout props)
   (and (= (chain-assoc-get 'page:page-number props -1) (ly:output-def-lookup layout 'first-page-number))
        (or (field-text props 'header:title) (field-text props 'header:front))))

#(define-markup-command (chapter-opening layout props) ()
   "Title and remark of a chapter; nothing where a chapter goes on."
   (if (field-text props 'header:title)
       (interpret-markup layout props
         #{ \markup \override #'(baseline-skip . 2.7) \column {
              \title-lines #0.98
              \fontsize #0.2 \slanted \wrapped-field #'header:subtitle #1
              \vspace #0.1
              \draw-hline
              \fontsize #-0.2 \wrapped-field #'header:remark #1
              \vspace #0.1
            } #})
       empty-stencil))

#(define-markup-command (book-name layout props title instrument) (string? string?)
   "The name of the book on its first page: smaller when it is long, and wrapped when it is longer."
   (let ((words (map (lambda (word)
                       (make-fontsize-markup (if (> (string-length title) 34) 5 8)
                         (make-bold-markup (make-music-text-markup word))))
                     (string-tokenize title))))
     (interpret-markup layout
       (cons (list (cons 'line-width (ly:output-def-lookup layout 'line-width))
                   (cons 'word-space 1.1)
                   (cons 'baseline-skip 4.6))
             props)
       #{ \markup \column {
            \vspace #2
            #(make-fit-markup 1 (make-column-markup (list (make-wordwrap-markup words))))
            \vspace #0.6
            \fit #1 \fontsize #3 \music-text #instrument
            \vspace #0.8
            \draw-hline
            \vspace #0.8
          } #})))

#(define-markup-command (contents-heading layout props text) (string?)
   "The heading over the contents."
   (interpret-markup layout props
     #{ \markup \column { \fontsize #2.4 \bold \music-text #text \vspace #0.6 } #}))

#(define-markup-command (small-print layout props text) (string?)
   "Words over the whole line, below the name of the book."
   (interpret-markup layout
     (cons (list (cons 'line-width (ly:output-def-lookup layout 'line-width))) props)
     (make-column-markup
       (list (make-wordwrap-markup (map make-music-text-markup (string-tokenize text)))
             (make-vspace-markup 0.8)))))

% ---- Contents --------------------------------------------------------------------------------------------

#(define (contents-entries keys pages)
   (map (lambda (key page)
          (make-concat-markup
            (list (make-music-text-markup key) (make-hspace-markup 0.45)
                  (make-slanted-markup (make-simple-markup page)) (make-hspace-markup 1.1))))
        (string-split keys #\|)
        (string-split pages #\|)))

#(define-markup-command (contents-chapter layout props words page keys pages) (string? string? string? string?)
   "A chapter in the contents, dots to its page; below it its exercises, parted by bars, each with its page."
   (let* ((line (ly:output-def-lookup layout 'line-width))
          (chapter #{ \markup \bold \fill-with-pattern #1.2 #RIGHT . \fit #0.9 \music-text #words #page #})
          (entries (make-override-markup (cons 'line-width (- line 6))
                     (make-override-markup '(word-space . 0.5)
                       (make-column-markup
                         (list (make-wordwrap-markup (contents-entries keys pages))))))))
     (interpret-markup layout
       (cons (list (cons 'line-width line)) props)
       (make-column-markup
         (if (string-null? keys)
             (list chapter (make-vspace-markup 0.35))
             (list chapter
                   (make-fontsize-markup -1.2 (make-concat-markup (list (make-hspace-markup 2) entries)))
                   (make-vspace-markup 0.35)))))))

% ---- Page ------------------------------------------------------------------------------------------------

\paper {
  two-sided = ##t
  inner-margin = 18\mm
  outer-margin = 12\mm

  bookTitleMarkup = \markup \lettered \chapter-opening

  oddHeaderMarkup = \markup \lettered \unless \chapter-opens \fill-line {
    \null
    \fit #0.9 \fontsize #-0.3 \slanted \field #'header:chapter
  }
  evenHeaderMarkup = \markup \lettered \unless \chapter-opens \fill-line {
    \fit #0.9 \fontsize #-0.3 \slanted \field #'header:bookname
    \null
  }
  oddFooterMarkup = \markup \lettered \fill-line {
    \fit #0.85 \fontsize #-1.3 \field #'header:footer
    \fontsize #-0.4 \fromproperty #'page:page-number-string
  }
  evenFooterMarkup = \markup \lettered \fill-line {
    \fontsize #-0.4 \fromproperty #'page:page-number-string
    \fit #0.85 \fontsize #-1.3 \field #'header:footer
  }
}

% Pages before the first exercise are counted apart.
romanPages = \paper { page-number-type = #'roman-lower }
