// paper_cup.pov - a blank paper cup on an oak table, a window to the left.
// The printable side is exactly the frustum between y = 0 (diameter 56) and y = 95 (diameter 80); above it stand a bare
// neck of 2.5 mm and the rolled lip. Uncoated white paper, reflectance <0.80, 0.785, 0.755> throughout.
#version 3.7;
#declare PhotoHeight = 1350;
#declare FocalPx = 3640;           // 70 mm equivalent, by the diagonal
#declare Pitch = 15;
#declare Target = <13, 48.5, 0>;
#declare Distance = 420;
#include "stage.inc"

// Light: the window, the pale room behind the camera, the far side of the room.
Window(<-720, 640, -640>, <0, 40, 0>, 420, 560, <0.97, 0.98, 1.00> * 1.08)
Room(<0.14, 0.14, 0.14>, <0.215, 0.22, 0.23>, <0.33, 0.34, 0.36>)

// The cup.
#declare Paper = texture {
  pigment { rgb <0.80, 0.785, 0.755> }
  normal { bumps 0.035 scale 0.35 }
}
#declare RTop = 40; #declare RBottom = 28; #declare High = 95; #declare Neck = 2.5;
#declare RNeck = RTop + (RTop - RBottom) / High * Neck;
#declare Roll = 1.75;
#declare Board = 0.45;
union {
  difference {
    cone { <0, 0, 0>, RBottom, <0, High + Neck, 0>, RNeck }
    cone { <0, 6, 0>, RBottom + 6 * 12 / 95 - Board, <0, High + Neck + 1, 0>, RNeck - Board + 1 * 12 / 95 }
    cylinder { <0, -1, 0>, <0, 5.4, 0>, RBottom - Board }
  }
  // The inner lap of the seam, seen down in the mouth of the cup.
  difference {
    cone { <0, 6, 0>, RBottom + 6 * 12 / 95 - Board, <0, High + Neck, 0>, RNeck - Board }
    cone { <0, 5, 0>, RBottom + 5 * 12 / 95 - 2 * Board, <0, High + Neck + 1, 0>, RNeck - 2 * Board + 12 / 95 }
    plane { x, 0 rotate -y * 16 }
    plane { -x, 0 rotate -y * 28 }
    plane { z, 0 }
  }
  torus { RNeck + 0.25, Roll translate y * (High + Neck + 0.9) }
  texture { Paper }
  #if (Pass != 1) no_image #end
}

// The table: boards of oak, from left to right, each cut from another stretch of the grain.
#declare Plank = 150;
#declare Grain = seed(7);
#declare N = -4;
#while (N < 7)
  #declare Along = rand(Grain) * 900;
  #declare Across = rand(Grain) * 500;
  #declare Tone = 0.90 + 0.16 * rand(Grain);
  #declare Oak = texture {
    pigment { image_map { jpeg "oak.jpg" interpolate 3 } rotate 90 * x scale <430, 1, 430> translate <Along, 0, Across>
            }
    normal { bump_map { jpeg "oak_height.jpg" bump_size 1.3 interpolate 2 } rotate 90 * x scale <430, 1, 430> translate <Along, 0, Across> }
    finish { diffuse Tone specular 0.06 roughness 0.09 }
  }
  superellipsoid {
    <0.012, 0.012>
    scale <1100, 12, Plank / 2 - 0.25>
    translate <0, -12, N * Plank - 8>
    Around(Oak)
  }
  #declare N = N + 1;
#end

// The wall behind, limewashed.
#declare Limewash = texture {
  pigment { image_map { jpeg "plaster.jpg" interpolate 2 } scale 700 }
  finish { diffuse 0.80 }
}
plane { -z, -1050 Around(Limewash) }

// Far off and out of focus: a pot of rushes, two books, a bowl.
#declare Clay = texture { pigment { rgb <0.42, 0.19, 0.11> } }
union {
  cone { <0, 0, 0>, 46, <0, 88, 0>, 62 }
  cylinder { <0, 84, 0>, <0, 104, 0>, 67 }
  translate <236, 0, 470>
  Around(Clay)
}
#declare Leaf = texture { pigment { rgb <0.10, 0.20, 0.07> } }
union {
  #declare Reed = seed(3);
  #declare N = 0;
  #while (N < 46)
    #declare Lean = 4 + 30 * pow(rand(Reed), 0.8);
    #declare Long = 180 + 150 * rand(Reed);
    cone { 0, 4.5, y * Long, 0.8 rotate z * Lean rotate y * 360 * rand(Reed) translate <28 * (rand(Reed) - 0.5), 100, 28 * (rand(Reed) - 0.5)> }
    #declare N = N + 1;
  #end
  translate <236, 0, 470>
  Around(Leaf)
}
#declare Cloth1 = texture { pigment { rgb <0.30, 0.33, 0.33> } }
#declare Cloth2 = texture { pigment { rgb <0.62, 0.56, 0.44> } }
box { <-130, 0, -90>, <130, 26, 90> rotate y * 14 translate <-190, 0, 560> Around(Cloth1) }
box { <-110, 26, -80>, <110, 46, 80> rotate y * 2 translate <-200, 0, 560> Around(Cloth2) }
