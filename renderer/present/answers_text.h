// answers_text.h - a list's words as blocks of text that a page can be filled with, none of them long.
#pragma once

#include <string>
#include <vector>

#include "present/answers_list.h"
#include "present/contact_sheet_look.h"

namespace wheatpaste {

struct TextPiece {
  std::string text;
  TextStyle style;
  double gap = 0;      // above it, mm; none at the top of a page
  bool inset = false;  // beside the numbers
  size_t number = 0;   // of the pin that begins here; 0: none
  bool outdated = false;
};

// Cuts text into pieces of a few lines at this width, each line end of the text a new one.
class PieceMaker {
 public:
  // ruler  a page to measure on.
  PieceMaker(const Page& ruler, const SheetLook& look, double width)
      : ruler_(ruler), look_(look), width_(width) {}

  void Add(const std::string& text, TextStyle style, double gap, bool inset = false);
  std::vector<TextPiece> Take() { return std::move(pieces_); }
  std::vector<TextPiece>& pieces() { return pieces_; }
  double inset() const;  // mm

 private:
  const Page& ruler_;
  const SheetLook& look_;
  double width_;
  std::vector<TextPiece> pieces_;
};

// Name, what it needs, verdicts, comments.
std::vector<TextPiece> PiecesOf(const ListedItem& item, const Page& ruler, const SheetLook& look,
                                double width);

// Who answered, and what they say on the whole.
std::vector<TextPiece> PiecesOf(const std::vector<ListedPerson>& people, const Page& ruler,
                                const SheetLook& look, double width);

}  // namespace wheatpaste
