// seed_carton.pov - a blank folding carton on a plastered bench, a few beans beside it, a window to the left.
// The carton is a box of 120 x 170 x 60 mm, folds of 0.3 mm radius, turned 33 degrees: front, right and top are seen.
// White-lined board, reflectance <0.79, 0.785, 0.77>; its cut edges are grey-brown and 0.45 mm thick.
#version 3.7;
#declare PhotoHeight = 1800;
#declare FocalPx = 3900;           // 75 mm equivalent, by the diagonal
#declare Pitch = 19;
#declare Target = <-2, 82, 0>;
#declare Distance = 640;
#declare Reuse = 0.0018;
#include "stage.inc"

Window(<-980, 860, -520>, <0, 60, 0>, 460, 640, <1.00, 0.985, 0.955> * 0.95)
// The pale side of the room gives a little back to the shaded face.
Window(<900, 420, -620>, <0, 80, 0>, 900, 800, <1.00, 0.98, 0.95> * 0.13)
Room(<0.13, 0.125, 0.12>, <0.21, 0.21, 0.21>, <0.33, 0.335, 0.35>)

// The carton.
#declare W = 60; #declare H = 170; #declare D = 30; #declare R = 0.3; #declare Cut = 0.45; #declare Gap = 0.22;
#declare Lining = texture {
  pigment { rgb <0.79, 0.785, 0.77> }
  normal { bumps 0.035 scale <34, 46, 34> }
}
#declare RawBoard = texture { pigment { rgb <0.40, 0.36, 0.31> } }
#declare Inside = texture { pigment { rgb <0.12, 0.11, 0.10> } }
#macro RoundBox(A, B)
  merge {
    box { A + <R, R, 0>, B - <R, R, 0> }
    box { A + <R, 0, R>, B - <R, 0, R> }
    box { A + <0, R, R>, B - <0, R, R> }
    #local I = 0;
    #while (I < 4)
      #local U = mod(I, 2); #local V = floor(I / 2);
      #local P = A + R; #local Q = B - R;
      cylinder { <P.x, (U ? P.y : Q.y), (V ? P.z : Q.z)>, <Q.x, (U ? P.y : Q.y), (V ? P.z : Q.z)>, R }
      cylinder { <(U ? P.x : Q.x), P.y, (V ? P.z : Q.z)>, <(U ? P.x : Q.x), Q.y, (V ? P.z : Q.z)>, R }
      cylinder { <(U ? P.x : Q.x), (V ? P.y : Q.y), P.z>, <(U ? P.x : Q.x), (V ? P.y : Q.y), Q.z>, R }
      sphere { <(U ? P.x : Q.x), (V ? P.y : Q.y), P.z>, R }
      sphere { <(U ? P.x : Q.x), (V ? P.y : Q.y), Q.z>, R }
      #local I = I + 1;
    #end
  }
#end
difference {
  object { RoundBox(<-W, 0, -D>, <W, H, D>) texture { Lining } }
  // The lid goes in behind the front: the front's cut edge, then the gap.
  box { <-W - 1, H - 0.16, -D - 1>, <W + 1, H + 1, -D + Cut> texture { RawBoard } }
  box { <-W + 1.2, H - 3, -D + Cut>, <W - 1.2, H + 1, -D + Cut + Gap> texture { Inside } }
  // The lid's own cut edges, and the gap under them, at either side.
  box { <W - 0.08, H - Cut, -D - 1>, <W + 1, H + 1, D - 1> texture { RawBoard } }
  box { <W - 1.5, H - Cut - Gap, -D + 1>, <W + 1, H - Cut, D - 2> texture { Inside } }
  box { <-W - 1, H - Cut, -D - 1>, <-W + 0.08, H + 1, D - 1> texture { RawBoard } }
  // The bottom flap.
  box { <W - 1.5, Cut, -D + 1>, <W + 1, Cut + Gap, D - 2> texture { Inside } }
  rotate y * 33
  #if (Pass != 1) no_image #end
}

// The bench: limewash, worn smooth.
#declare Bench = texture {
  pigment { image_map { jpeg "plaster.jpg" interpolate 2 } rotate x * 90 scale 420 translate <60, 0, 140> }
  normal { bump_map { jpeg "plaster_height.jpg" bump_size 2.2 interpolate 2 } rotate x * 90 scale 420 translate <60, 0, 140> }
  finish { diffuse 0.62 }
}
box { <-1500, -40, -600>, <1500, 0, 620> Around(Bench) }

// The wall: painted a grey green.
#declare Paint = texture {
  pigment { rgb <0.235, 0.285, 0.245> }
  normal { bumps 0.15 scale 9 }
}
plane { -z, -1150 Around(Paint) }

// Beans: cream ones and red-brown ones.
#declare Pick = seed(12);
#macro Bean(At, Turn, Size, Colour)
  #local Coat = texture { pigment { rgb Colour } finish { diffuse 0.95 specular 0.12 roughness 0.04 } }
  blob {
    threshold 0.5
    sphere { <-0.55, 0, 0>, 1.45, 1 }
    sphere { <0.55, 0, 0>, 1.45, 1 }
    sphere { <0, 0, 0.5>, 1.0, 0.5 }
    sphere { <0, 0.05, -1.35>, 0.9, -0.5 }
    scale <5.6, 3.9, 4.6> * Size
    rotate y * Turn
    translate At + y * 3.2 * Size
    Around(Coat)
  }
#end
#declare Cream = <0.62, 0.53, 0.38>;
#declare Rust = <0.24, 0.075, 0.04>;
#declare Night = <0.045, 0.035, 0.035>;
Bean(<-64, 0, -72>, 20, 1.0, Cream)
Bean(<-50, 0, -84>, 95, 0.95, Rust)
Bean(<-40, 0, -70>, 150, 1.05, Cream)
Bean(<-28, 0, -92>, 60, 0.9, Rust)
Bean(<-82, 0, -60>, 130, 1.0, Night)
Bean(<-88, 0, -84>, 10, 1.02, Cream)
Bean(<4, 0, -88>, 25, 0.98, Cream)
Bean(<88, 0, 10>, 70, 1.0, Rust)
Bean(<101, 0, -6>, 15, 0.95, Cream)
Bean(<-102, 0, -40>, 45, 0.97, Rust)

// Behind: a stoneware bowl.
#declare Stoneware = texture { pigment { rgb <0.34, 0.30, 0.25> } finish { diffuse 1 specular 0.15 roughness 0.06 } }
difference {
  sphere { <0, 92, 0>, 92 }
  sphere { <0, 94, 0>, 87 }
  plane { -y, -66 }
  plane { y, 6 }
  translate <190, -6, 330>
  Around(Stoneware)
}
#declare N = 0;
#while (N < 60)
  #declare A = 360 * rand(Pick); #declare Far = 66 * sqrt(rand(Pick));
  Bean(vrotate(<Far, 44 + 8 * rand(Pick) - Far * Far * 0.002, 0>, y * A) + <190, 0, 330>, 360 * rand(Pick), 1.05, Cream * (0.8 + 0.3 * rand(Pick)))
  #declare N = N + 1;
#end
