"""What all pages share: the list of pages, the frame, the words, where cases come from."""
