% Pictures for a screen: each page is written by itself, as wide as the screen and as high as its music.
% No person's words are ever written into this file.
\version "2.24.0"

#(define (screen-page-stencil page)
   "The lines of a page where they stand, without the page round them."
   (apply ly:stencil-add
     (map (lambda (line)
            (ly:stencil-translate (ly:prob-property line 'stencil)
              (cons (ly:prob-property line 'X-offset 0.0) (- (ly:prob-property line 'Y-offset 0.0)))))
          (ly:prob-property page 'lines))))

#(define (screen-write-pages layout pages)
   "Write each page as a picture of its own; the backend in use draws it."
   (let* ((backend (list 'lily (symbol-append 'framework- (ly:get-option 'backend))))
          (write-picture (module-ref (resolve-module backend) 'output-stencil))
          (margin (ly:output-def-lookup layout 'left-margin))
          (width (ly:output-def-lookup layout 'paper-width)))
     (for-each
       (lambda (page number)
         (let ((stencil (ly:stencil-translate-axis (screen-page-stencil page) margin X)))
           (write-picture (format #f "sheet-~a" number)
             (ly:make-stencil (ly:stencil-expr stencil) (cons 0 width) (ly:stencil-extent stencil Y))
             layout '("svg"))))
       pages (iota (length pages) 1))))

#(ly:set-option 'print-pages #f)

screenPaper = \paper {
  page-post-process = #screen-write-pages
  % Pages end where the text says so, and nowhere else.
  paper-height = 4000\mm
  top-margin = 1\mm
  bottom-margin = 1\mm
  scoreTitleMarkup = ##f
  bookTitleMarkup = ##f
  oddHeaderMarkup = ##f
  evenHeaderMarkup = ##f
  oddFooterMarkup = ##f
  evenFooterMarkup = ##f
  ragged-bottom = ##t
  ragged-last-bottom = ##t
  system-system-spacing = #'((basic-distance . 8.6) (minimum-distance . 7) (padding . 1.4) (stretchability . 0))
}
