// stage_progress.h - what is told on the standard error while a stage's photograph is taken.
//
// Told    on a terminal one line that is written over: a bar, samples done, time left. Elsewhere a line at each quarter.
// Stop    the first SIGINT or SIGTERM stops after the samples in hand; a second one ends the program at once.
#pragma once

#include "stage/stage_photo.h"

namespace wheatpaste {

// The user's folder for kept photographs, resumable, progress told, stopped by signals.
StagePhotoOptions ToldStagePhotoOptions();
// The same of a batch, which has its own way to be stopped.
// told  false: without a word.
StagePhotoOptions BatchStagePhotoOptions(const std::function<bool()>& stop, bool told);

// "1 min 12 s", "48 s".
std::string DurationText(double seconds);

}  // namespace wheatpaste
