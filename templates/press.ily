% A LilyPond that stays: it reads the name of a folder from standard input, engraves the text that lies there, says how
% that went on standard output, and waits for the next name. No person's words are ever written into this file.
%
% Where a process can be doubled, each text is engraved by a child that ends with it, so that nothing a text does stays;
% elsewhere by this very process, which is why a text is one book with all its settings inside.
\version "2.24.0"

#(use-modules (ice-9 rdelim) (ice-9 textual-ports))

#(define press-seconds 10)
% Of address space, of which a waiting LilyPond has taken 200 MB; a picture takes less than 60 more.
#(define press-bytes (* 640 1024 1024))
#(define press-forks (defined? 'primitive-fork))

#(define (press-say . words)
   (display (string-join (map (lambda (word) (if (number? word) (number->string word) word)) words) " "))
   (newline)
   (force-output))

#(define (press-turn-to number name flags)
   "Let a file take the place of an open one."
   (let ((file (open-fdes name flags #o600)))
     (dup2 file number)
     (close-fdes file)))

#(define (press-go-to folder)
   "Work in a folder and complain into its log."
   (chdir folder)
   (press-turn-to 2 "lilypond.log" (logior O_WRONLY O_CREAT O_TRUNC)))

#(define (press-text)
   (call-with-input-file "sheet.ly" get-string-all #:encoding "UTF-8"))

#(define (press-bound)
   "Let the system end a child that does not end by itself, whatever becomes of us."
   (if (defined? 'setrlimit)
       (for-each
         (lambda (what most)
           (catch 'system-error (lambda () (setrlimit what most most)) (const #f)))
         '(cpu as) (list press-seconds press-bytes)))
   (alarm (+ press-seconds 5)))

#(define (press-double folder)
   (let ((child (primitive-fork)))
     (if (= child 0)
         (begin
           (press-turn-to 0 "/dev/null" O_RDONLY)
           (press-turn-to 1 "/dev/null" O_WRONLY)
           (press-bound)
           (press-go-to folder)
           (ly:parser-include-string (press-text)))
         (begin
           (press-say "child" child)
           (let ((status (cdr (waitpid child))))
             (press-say "done" (or (status:exit-val status) (- (status:term-sig status))))
             (press-turn))))))

#(define (press-single folder)
   (press-go-to folder)
   (ly:parser-include-string (string-append (press-text) "\n#(press-say \"done\" 0)\n#(press-turn)\n")))

#(define (press-turn)
   (let ((folder (read-line)))
     (cond
       ((eof-object? folder) (primitive-_exit 0))
       (press-forks (press-double folder))
       (else (press-single folder)))))
