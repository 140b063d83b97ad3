"""What goes on a page: paper, line capacity, line and page breaks. Pure."""
