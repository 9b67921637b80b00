# Reads every #include of renderer/ and holds it to the table of folders in DEVELOPERS.md.
#
#   cmake -DROOT=<source folder> -P include_direction_test.cmake
#
# First it checks itself: a small tree with one wrong line of each kind must give exactly those errors.
cmake_minimum_required(VERSION 3.21)
if(NOT ROOT)
  message(FATAL_ERROR "expected -DROOT=<source folder>")
endif()

# folder        which folders it may include, beside itself
set(folders base colour image geometry scene artwork surface light ink output dieline stage composite brand batch
  present editor cli)
set(below_base "")
set(below_colour base)
set(below_image base colour)
set(below_geometry base)
set(below_scene base colour geometry)
set(below_artwork base colour image scene)
set(below_surface base image geometry scene)
set(below_light base colour image scene surface)
set(below_ink base colour image scene)
set(below_dieline base geometry scene)
set(below_stage base colour image geometry scene surface ink output dieline)
set(below_composite base colour image geometry scene artwork surface light ink dieline stage)
set(below_brand base colour image geometry scene artwork surface ink dieline stage composite)
set(below_output base colour image)
set(below_batch base colour image scene artwork surface composite output)
set(below_present base colour image scene output batch)
set(below_editor base scene composite batch)
set(below_cli ${folders})

# Third-party headers: "pattern : folders that may include it". What no row names must be a header of C++
# or POSIX; Highway is looked at by file name.
set(third_party_rows
  "^Eigen/ : all"
  "^fmt/ : all"
  "^(tbb|oneapi)/ : base"
  "^lcms2 : colour"
  "^(jpeglib|jerror).h$ : image,output"
  "^tiffio.h$ : image,output"
  "^webp/ : image,output"
  "^png.h$ : output"
  "^qpdf/ : output"
  "^nettle/ : base"
  "^(zlib|libdeflate).h$ : output"
  "^spng.h$ : image"
  "^libexif/ : image"
  "^stb_image : image"
  "^opencv2/ : image,geometry,surface,light"
  "^ceres/ : geometry,surface"
  "^tiny_obj_loader.h$ : geometry"
  "^embree3/ : surface,stage"
  "^libxml/ : dieline"
  "^toml[+][+]/ : scene"
  "^nlohmann/ : scene,batch,present,cli"
  "^(librsvg/|cairo) : artwork,present"
  "^(pango|fontconfig)/ : present"
  "^httplib.h$ : editor"
  "^CLI/ : cli")

# A standard C++ header is a word without an ending. The C and POSIX headers in use:
set(standard_header "^[a-z_0-9]+$")
set(posix_header "^(sys/[a-z]+|unistd|fcntl|poll|signal|spawn|errno|dirent|time|netinet/in|arpa/inet)\\.h$")

# include_errors(ROOT OUT): a list of "renderer/a/b.cc:LINE: what" for every include out of place.
function(include_errors root out)
  set(errors "")
  file(GLOB_RECURSE sources RELATIVE ${root} ${root}/renderer/*.h ${root}/renderer/*.cc)
  if(NOT sources)
    message(FATAL_ERROR "no sources under ${root}/renderer")
  endif()
  foreach(source ${sources})
    string(REGEX REPLACE "^renderer/([^/]+)/.*$" "\\1" folder ${source})
    if(NOT folder IN_LIST folders)
      list(APPEND errors "${source}:1: the folder ${folder} is not in the table")
      continue()
    endif()
    # Line by line with what a CMake list would swallow taken out.
    file(READ ${root}/${source} text)
    string(REGEX REPLACE "[][;\\]" "" text "${text}")
    string(REPLACE "\n" ";" lines "${text}")
    set(number 0)
    foreach(line IN LISTS lines)
      math(EXPR number "${number} + 1")
      if(NOT line MATCHES "^[ \t]*#[ \t]*include(.*)$")
        continue()
      endif()
      set(what "${CMAKE_MATCH_1}")
      if(what MATCHES "^[ \t]*\"([^\"]+)\"")
        set(header "${CMAKE_MATCH_1}")
        string(REGEX REPLACE "/.*$" "" target "${header}")
        if(NOT target IN_LIST folders)
          list(APPEND errors "${source}:${number}: \"${header}\": expected folder/file.h")
        elseif(NOT target STREQUAL folder AND NOT target IN_LIST below_${folder})
          list(APPEND errors "${source}:${number}: ${folder}/ may not include ${target}/")
        endif()
        continue()
      endif()
      if(NOT what MATCHES "^[ \t]*<([^>]+)>")
        # Highway includes its own file once for each instruction set, by a macro.
        if(NOT (source MATCHES "_simd\\.cc$" AND what MATCHES "HWY_TARGET_INCLUDE"))
          list(APPEND errors "${source}:${number}: an include that is neither \"\" nor <>")
        endif()
        continue()
      endif()
      set(header "${CMAKE_MATCH_1}")
      if(header MATCHES "^hwy/")
        if(NOT source MATCHES "_simd\\.cc$")
          list(APPEND errors "${source}:${number}: <${header}> only in *_simd.cc")
        endif()
        continue()
      endif()
      if(header MATCHES "${standard_header}" OR header MATCHES "${posix_header}")
        continue()
      endif()
      set(known FALSE)
      foreach(row IN LISTS third_party_rows)
        string(REGEX MATCH "^(.*) : (.*)$" unused "${row}")
        set(pattern "${CMAKE_MATCH_1}")
        string(REPLACE "," ";" allowed "${CMAKE_MATCH_2}")
        if(header MATCHES "${pattern}")
          set(known TRUE)
          if(NOT allowed STREQUAL "all" AND NOT folder IN_LIST allowed)
            list(APPEND errors "${source}:${number}: ${folder}/ may not include <${header}>")
          endif()
          break()
        endif()
      endforeach()
      if(NOT known)
        list(APPEND errors "${source}:${number}: <${header}> is not in the table")
      endif()
    endforeach()
  endforeach()
  set(${out} "${errors}" PARENT_SCOPE)
endfunction()

# The same kinds of mistake as anybody could make, and lines that are right.
function(check_itself)
  if(DEFINED ENV{TMPDIR})
    set(temporary $ENV{TMPDIR})
  else()
    set(temporary /tmp)
  endif()
  string(RANDOM LENGTH 12 name)
  set(tree ${temporary}/wheatpaste-include-${name})
  file(WRITE ${tree}/renderer/colour/wrong.h
    "#include <vector>\n// [;] \"scene/scene.h\"\n#include \"scene/scene.h\"\n#include \"base/error.h\"\n")
  file(WRITE ${tree}/renderer/ink/wrong.cc
    "#include \"ink/right.h\"\n#  include <opencv2/core.hpp>\n#include <hwy/highway.h>\n#include \"wrong.h\"\n")
  file(WRITE ${tree}/renderer/ink/right_simd.cc "#include <hwy/highway.h>\n#include <Eigen/Core>\n")
  file(WRITE ${tree}/renderer/base/wrong.cc
    "#include <sys/stat.h>\n#include <curl/curl.h>\n#include <tbb/task.h>\n#include OTHER\n")
  file(WRITE ${tree}/renderer/helpers/wrong.cc "int main() {}\n")
  include_errors(${tree} found)
  file(REMOVE_RECURSE ${tree})
  set(expected
    "renderer/base/wrong.cc:2: <curl/curl.h> is not in the table"
    "renderer/base/wrong.cc:4: an include that is neither \"\" nor <>"
    "renderer/colour/wrong.h:3: colour/ may not include scene/"
    "renderer/helpers/wrong.cc:1: the folder helpers is not in the table"
    "renderer/ink/wrong.cc:2: ink/ may not include <opencv2/core.hpp>"
    "renderer/ink/wrong.cc:3: <hwy/highway.h> only in *_simd.cc"
    "renderer/ink/wrong.cc:4: \"wrong.h\": expected folder/file.h")
  list(SORT found)
  if(NOT found STREQUAL expected)
    list(JOIN found "\n  " found)
    message(FATAL_ERROR "this test no longer sees what it must; it found\n  ${found}")
  endif()
endfunction()

check_itself()
include_errors(${ROOT} errors)
if(errors)
  list(JOIN errors "\n  " errors)
  message(FATAL_ERROR "includes against the table of folders:\n  ${errors}")
endif()
message(STATUS "every include is as the table of folders allows")
