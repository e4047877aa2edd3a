package fallaway.app.view

import androidx.compose.foundation.Image
import androidx.compose.foundation.layout.fillMaxWidth
import androidx.compose.runtime.Composable
import androidx.compose.runtime.remember
import androidx.compose.ui.Modifier
import androidx.compose.ui.layout.ContentScale
import androidx.compose.ui.platform.testTag
import fallaway.app.Element

/** A photo, as wide as there is room. */
@Composable
fun Photo(one: Element) {
    val image = remember(one.picture) { one.picture?.let(::decoded) } ?: return
    Image(image, one.spoken, Modifier.fillMaxWidth().testTag(one.id), contentScale = ContentScale.FillWidth)
}
