#ifndef TESTS_PICTURES_GROUND_H
#define TESTS_PICTURES_GROUND_H

#include "tests/pictures/stage.h"

/* What stands behind the labels. All of it fills the picture, and none of it is a symbol. */

void ground_plain(struct stage *stage); /* one grey with some grain */
void ground_shelf(struct stage *stage); /* boards with a light edge, cases with seams, gaps in shade */
void ground_text(struct stage *stage);  /* a page of printed lines, turned */
void ground_cables(struct stage *stage, int count);

#endif
