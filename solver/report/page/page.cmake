# SPDX-License-Identifier: Apache-2.0
# The scripts of the report page: bundled from the packages that page/fetch.sh has fetched, then put
# into the program as bytes. Nothing is downloaded here.
set(page ${CMAKE_CURRENT_LIST_DIR})
find_program(CELLGRADE_NODE node)
set(fetched OFF)
if(CELLGRADE_NODE AND EXISTS ${page}/node_modules/esbuild AND EXISTS ${page}/node_modules/three)
  set(fetched ON)
endif()
set(CELLGRADE_REPORT_PAGE AUTO CACHE STRING
    "scripts in the page of cellgrade report: ON, OFF, or AUTO for when their packages are fetched")

set(page_style ${page}/style.css)
set(bundle ${CMAKE_CURRENT_BINARY_DIR}/page)
set(page_drawing ${bundle}/drawing.js)
set(page_scene ${bundle}/scene.js)
set(page_notices ${bundle}/notices.txt)
if(CELLGRADE_REPORT_PAGE STREQUAL AUTO)
  set(with_scripts ${fetched})
else()
  set(with_scripts ${CELLGRADE_REPORT_PAGE})
endif()
if(with_scripts)
  if(NOT fetched)
    message(FATAL_ERROR "CELLGRADE_REPORT_PAGE needs node and solver/report/page/fetch.sh run once")
  endif()
  file(GLOB_RECURSE page_modules CONFIGURE_DEPENDS LIST_DIRECTORIES false
       ${page}/*.mjs ${page}/package-lock.json)
  list(FILTER page_modules EXCLUDE REGEX "/node_modules/")
  add_custom_command(OUTPUT ${page_drawing} ${page_scene} ${page_notices}
    COMMAND ${CELLGRADE_NODE} ${page}/bundle.mjs ${bundle}
    DEPENDS ${page_modules} COMMENT "Bundling the scripts of the report page" VERBATIM)
else()
  message(STATUS "cellgrade report: static page only (solver/report/page/fetch.sh fetches its scripts)")
  foreach(file ${page_drawing} ${page_scene} ${page_notices})
    file(WRITE ${file} "")
  endforeach()
endif()

enable_language(ASM)
configure_file(${page}/../page_resources.S.in ${CMAKE_CURRENT_BINARY_DIR}/page_resources.S @ONLY)
add_library(cellgrade_page_files OBJECT ${CMAKE_CURRENT_BINARY_DIR}/page_resources.S)
set_target_properties(cellgrade_page_files PROPERTIES POSITION_INDEPENDENT_CODE ON)
set_property(SOURCE ${CMAKE_CURRENT_BINARY_DIR}/page_resources.S PROPERTY OBJECT_DEPENDS
             "${page_style};${page_drawing};${page_scene};${page_notices}")
