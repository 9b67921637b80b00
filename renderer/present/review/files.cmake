# The files of the review page, in the order in which they are joined: the scripts share one scope, the last begins.
set(review_markup page.html)
set(review_style page.css)
set(review_scripts page_elements.js page_answers.js page_pictures.js page_stage.js page_pins.js page_looking.js
  page_viewer.js page.js)
