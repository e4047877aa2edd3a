package fallaway.app.view

import androidx.compose.foundation.BorderStroke
import androidx.compose.foundation.background
import androidx.compose.foundation.border
import androidx.compose.foundation.clickable
import androidx.compose.foundation.horizontalScroll
import androidx.compose.foundation.interaction.MutableInteractionSource
import androidx.compose.foundation.layout.Arrangement
import androidx.compose.foundation.layout.Box
import androidx.compose.foundation.layout.BoxWithConstraints
import androidx.compose.foundation.layout.Column
import androidx.compose.foundation.layout.ExperimentalLayoutApi
import androidx.compose.foundation.layout.FlowRow
import androidx.compose.foundation.layout.Row
import androidx.compose.foundation.layout.fillMaxHeight
import androidx.compose.foundation.layout.fillMaxSize
import androidx.compose.foundation.layout.fillMaxWidth
import androidx.compose.foundation.layout.height
import androidx.compose.foundation.layout.heightIn
import androidx.compose.foundation.layout.padding
import androidx.compose.foundation.layout.safeDrawingPadding
import androidx.compose.foundation.layout.size
import androidx.compose.foundation.layout.width
import androidx.compose.foundation.layout.widthIn
import androidx.compose.foundation.lazy.LazyColumn
import androidx.compose.foundation.lazy.items
import androidx.compose.foundation.relocation.BringIntoViewRequester
import androidx.compose.foundation.relocation.bringIntoViewRequester
import androidx.compose.foundation.rememberScrollState
import androidx.compose.foundation.shape.RoundedCornerShape
import androidx.compose.foundation.verticalScroll
import androidx.compose.material3.ExperimentalMaterial3Api
import androidx.compose.material3.MaterialTheme
import androidx.compose.material3.OutlinedTextField
import androidx.compose.material3.Slider
import androidx.compose.material3.SliderDefaults
import androidx.compose.material3.Surface
import androidx.compose.material3.Switch
import androidx.compose.material3.Text
import androidx.compose.runtime.Composable
import androidx.compose.runtime.CompositionLocalProvider
import androidx.compose.runtime.compositionLocalOf
import androidx.compose.runtime.LaunchedEffect
import androidx.compose.runtime.getValue
import androidx.compose.runtime.key
import androidx.compose.runtime.mutableStateOf
import androidx.compose.runtime.remember
import androidx.compose.runtime.setValue
import androidx.compose.runtime.withFrameNanos
import androidx.compose.ui.Alignment
import androidx.compose.ui.Modifier
import androidx.compose.ui.draw.clip
import androidx.compose.ui.graphics.Color
import androidx.compose.ui.platform.LocalDensity
import androidx.compose.ui.platform.LocalWindowInfo
import androidx.compose.ui.platform.testTag
import androidx.compose.ui.semantics.Role as Spoken
import androidx.compose.ui.semantics.contentDescription
import androidx.compose.ui.semantics.heading
import androidx.compose.ui.semantics.role
import androidx.compose.ui.semantics.selected
import androidx.compose.ui.semantics.semantics
import androidx.compose.ui.semantics.stateDescription
import androidx.compose.ui.semantics.toggleableState
import androidx.compose.ui.state.ToggleableState
import androidx.compose.ui.text.TextStyle
import androidx.compose.ui.text.rememberTextMeasurer
import androidx.compose.ui.text.style.TextAlign
import androidx.compose.ui.unit.Constraints
import androidx.compose.ui.unit.Density
import androidx.compose.ui.unit.DpSize
import androidx.compose.ui.unit.dp
import fallaway.Scene
import fallaway.app.Element
import fallaway.app.Role
import kotlin.math.roundToInt

/** What is seen: one screen, or on a tablet the list of instruments and what is open of one. */
@Composable
fun ScreenView(shown: Shown, tap: (String) -> Unit, type: (String, String) -> Unit, tapInList: (String) -> Unit = {}) {
    val design = Design.now
    if (shown.list.isEmpty() || LocalWindowInfo.current.containerDpSize.width < TABLET) return OneScreen(shown, tap, type)
    Surface(Modifier.fillMaxSize(), color = design.paper) {
        Row {
            // The list's names stand beside those of the screen that is open: they begin with a word of their own.
            val list = shown.list.filter { it.role != Role.FIELD }.map { it.copy(id = IN_LIST + it.id) }
            val alone = Shown("list", list, deeper = false, shown.look)
            Box(Modifier.width(320.dp).safeDrawingPadding()) {
                Body(alone, list, { tapInList(it.removePrefix(IN_LIST)) }, { _, _ -> }, Modifier, beside = false)
            }
            Box(Modifier.width(1.dp).fillMaxHeight().background(design.line))
            OneScreen(shown, tap, type)
        }
    }
}

/** What the names of the list begin with where it stands beside something. */
const val IN_LIST = "list."

/** A screen: its elements one under the other, keys where the thumb is, tabs at the edge. */
@OptIn(ExperimentalLayoutApi::class)
@Composable
private fun OneScreen(shown: Shown, tap: (String) -> Unit, type: (String, String) -> Unit) {
    val design = Design.now
    val (tabs, rest) = shown.elements.partition { it.role == Role.TAB }
    val wide = LocalWindowInfo.current.containerDpSize.run { width >= WIDE && width > height }
    Surface(Modifier.fillMaxSize(), color = design.paper) {
        if (wide) {
            Row(Modifier.safeDrawingPadding()) {
                if (tabs.isNotEmpty()) {
                    Column(Modifier.fillMaxHeight().verticalScroll(rememberScrollState()).background(design.wash)) {
                        tabs.forEach { Tab(it, tap, Modifier.widthIn(min = 96.dp)) }
                    }
                }
                Body(shown, rest, tap, type, Modifier.weight(1f), beside = true)
            }
        } else {
            // Keys lie over the tabs where there is no room for both; these then stand below what is typed.
            val over = rest.any { it.role == Role.KEY } && isCramped()
            val edge: @Composable () -> Unit = {
                if (tabs.isNotEmpty()) {
                    // Large words take two rows: none is broken.
                    val across = if (LocalDensity.current.fontScale > LARGE) 3 else tabs.size
                    FlowRow(Modifier.fillMaxWidth().background(design.wash), maxItemsInEachRow = across) {
                        tabs.forEach { Tab(it, tap, Modifier.weight(1f)) }
                        // The second row stands under the first.
                        repeat((across - tabs.size % across) % across) { Box(Modifier.weight(1f)) }
                    }
                }
            }
            Column(Modifier.safeDrawingPadding()) {
                Body(shown, rest, tap, type, Modifier.weight(1f), beside = false, below = if (over) edge else ({}))
                if (!over) edge()
            }
        }
    }
}

/** So much of the height is left above the keys: what was typed stays in sight. */
private val LEAST_ABOVE = 112.dp

/** Keys and tabs are not both in sight where the phone is less high than this, for letters of the usual size. */
private val CRAMPED = 480.dp

@Composable
private fun isCramped() = LocalWindowInfo.current.containerDpSize.height < CRAMPED * LocalDensity.current.fontScale

/** Text so much larger than usual needs more room for the tabs. */
private const val LARGE = 1.3f

/** From this width on, what stands under each other on a phone stands beside each other. */
private val WIDE = 600.dp

/** From this width on, two screens stand beside each other. */
private val TABLET = 840.dp

/** More elements than this are composed only when they come into sight. */
private const val MANY = 90

@Composable
private fun Body(
    shown: Shown,
    elements: List<Element>,
    tap: (String) -> Unit,
    type: (String, String) -> Unit,
    modifier: Modifier,
    beside: Boolean,
    below: @Composable () -> Unit = {},
) {
    val keys = elements.filter { it.role == Role.KEY }
    val after = if (keys.isEmpty()) emptyList() else elements.takeLastWhile { it.role != Role.KEY }
    // What the hand came for stays in sight where it stands at the end.
    val last = elements.lastOrNull()?.takeIf { keys.isEmpty() && it.main }
    val above = (if (keys.isEmpty()) elements else elements.takeWhile { it.role != Role.KEY }).let { if (last == null) it else it.dropLast(1) }
    // What the keys are for stays in sight with them.
    val tool = above.lastOrNull()?.takeIf { keys.isNotEmpty() && it.role == Role.ROW }
    val before = if (tool == null) above else above.dropLast(1)
    val body: @Composable (Modifier) -> Unit = { there ->
        CompositionLocalProvider(
            asked provides before.any { it.role == Role.BANNER || it.id.startsWith("tool.") },
            moving provides before.any { it.role == Role.SLIDER },
            read provides before.filter { it.chosen && it.role in PASS }.joinToString { it.text + it.value.orEmpty() },
        ) {
            key(shown.screen) {
                if (before.size > MANY) {
                    LazyColumn(there.padding(horizontal = Space.two)) {
                        item { Title(shown, before.first(), tap) }
                        items(groups(before.drop(1)), key = { it.first().id }) { Group(it, tap, type) }
                    }
                } else {
                    Column(there.verticalScroll(rememberScrollState())) {
                        Column(Modifier.padding(horizontal = Space.two), Arrangement.spacedBy(Space.one)) {
                            before.firstOrNull()?.let { Title(shown, it, tap) }
                            groups(before.drop(1)).forEach { key(it.first().id) { Group(it, tap, type) } }
                            Box(Modifier.heightIn(min = Space.two))
                        }
                        below()
                    }
                }
            }
        }
    }
    if (keys.isEmpty()) {
        Column(modifier.fillMaxSize(), horizontalAlignment = Alignment.CenterHorizontally) {
            body(Modifier.widthIn(max = Space.column).fillMaxWidth().weight(1f, fill = false))
            last?.let { Box(Modifier.widthIn(max = Space.column).padding(horizontal = Space.two, vertical = Space.one)) { Button(it, tap) } }
        }
    } else if (beside) {
        Row(modifier) {
            body(Modifier.weight(1f).fillMaxHeight())
            Keys(tool, keys, after, tap, Modifier.weight(1f).fillMaxHeight())
        }
    } else {
        BoxWithConstraints(modifier) {
            val most = maxHeight - LEAST_ABOVE
            Column(Modifier.fillMaxHeight()) {
                body(Modifier.weight(1f).fillMaxWidth())
                Keys(tool, keys, after, tap, Modifier.heightIn(max = most))
            }
        }
    }
}

/** Whether something is said or asked above the cells: then that stays in sight, and not what is typed. */
private val asked = compositionLocalOf { false }

/** What the cells are for: with another pass the one that is typed now is brought into sight anew. */
private val read = compositionLocalOf { "" }

/** By which it is chosen what is read. */
private val PASS = setOf(Role.CHOICE, Role.ROW)

/** Whether there are sliders: what a finger moves is shown with each frame. */
private val moving = compositionLocalOf { false }

/** Elements that belong together: choices, cells, a refusal and what puts it aside; all others are alone. */
private fun groups(elements: List<Element>): List<List<Element>> = buildList {
    var open = mutableListOf<Element>()
    for (one in elements) {
        val about = { of: Element -> of.role to of.id.substringBefore('.', "") }
        val alike = open.firstOrNull()?.let(about) == about(one) && (one.role == Role.CELL || one.role == Role.CHOICE && one.detail == null)
        val closes = open.lastOrNull()?.let { "${it.id}.close" } == one.id
        if (!alike && !closes) open = mutableListOf<Element>().also(::add)
        open.add(one)
    }
}

@Composable
private fun Title(shown: Shown, title: Element, tap: (String) -> Unit) {
    Row(verticalAlignment = Alignment.CenterVertically, modifier = Modifier.heightIn(min = 56.dp).padding(vertical = Space.half)) {
        if (shown.deeper) {
            val word = wayBack(shown.language)
            Box(
                Modifier.size(Space.finger).testTag("back").clickable(role = Spoken.Button) { tap("back") }
                    .semantics { contentDescription = word },
                Alignment.Center,
            ) { Icon("back", Design.now.act) }
        }
        Words(title.text, Modifier.testTag(title.id).semantics { heading() }, style = Design.now.title)
    }
}

@Composable
private fun Tab(one: Element, tap: (String) -> Unit, modifier: Modifier) {
    val design = Design.now
    val colour = if (one.chosen) design.act else design.quiet
    Column(
        modifier.heightIn(min = 56.dp).testTag(one.id).clickable(role = Spoken.Tab) { tap(one.id) }
            .semantics(mergeDescendants = true) {
                selected = one.chosen
                one.state?.let { stateDescription = it }
            }
            .padding(vertical = Space.half, horizontal = 2.dp),
        Arrangement.Center, Alignment.CenterHorizontally,
    ) {
        // All of them stay in sight where the phone lies.
        Icon(one.id.removePrefix("tab."), colour, grows = false)
        Words(one.text, style = design.label.copy(color = colour, fontSize = design.label.fontSize * 0.86f), textAlign = TextAlign.Center)
        Box(Modifier.size(32.dp, 3.dp).background(if (one.chosen) design.act else Color.Transparent))
    }
}

@OptIn(ExperimentalLayoutApi::class)
@Composable
private fun Group(group: List<Element>, tap: (String) -> Unit, type: (String, String) -> Unit) {
    val first = group.first()
    if (first.role == Role.CELL && isCramped()) {
        // Two beside each other, whatever stands in them.
        Column(verticalArrangement = Arrangement.spacedBy(Space.one)) {
            group.chunked(2).forEach { two ->
                Row(horizontalArrangement = Arrangement.spacedBy(Space.one)) {
                    two.forEach { SmallCell(it, tap, Modifier.weight(1f)) }
                    if (two.size < group.size.coerceAtMost(2)) Box(Modifier.weight(1f))
                }
            }
        }
    } else if (first.role == Role.CELL || first.role == Role.CHOICE && first.detail == null) {
        val here = remember { BringIntoViewRequester() }
        // What opens in the place of the keys is in sight.
        if (first.id.startsWith("tool.")) LaunchedEffect(Unit) { if (group.any { it.chosen }) here.bring() }
        FlowRow(
            Modifier.bringIntoViewRequester(here), horizontalArrangement = Arrangement.spacedBy(Space.one), verticalArrangement = Arrangement.spacedBy(Space.one),
        ) {
            group.forEach { if (it.role == Role.CELL) Cell(it, tap) else Choice(it, tap) }
        }
    } else if (first.role == Role.BANNER && group.size > 1) {
        Told(group, tap)
    } else {
        One(first, tap, type)
    }
}

@Composable
private fun One(one: Element, tap: (String) -> Unit, type: (String, String) -> Unit) {
    val design = Design.now
    when (one.role) {
        Role.HEADING -> Words(one.text, Modifier.padding(top = Space.two).testTag(one.id).semantics { heading() }, style = design.heading)
        Role.TEXT -> Lines(one, design.body, Modifier)
        Role.NUMBER -> Number(one)
        Role.CAUTION -> Row(Modifier.testTag(one.id).semantics(mergeDescendants = true) {}, Arrangement.spacedBy(Space.one)) {
            Icon("caution", design.caution)
            Words(one.text, style = design.body.copy(color = design.caution))
        }
        Role.BANNER -> Banner(one, tap)
        Role.ROW -> Line(one, tap)
        Role.BUTTON -> Button(one, tap)
        Role.CHOICE -> Choice(one, tap, Modifier.fillMaxWidth())
        Role.TOGGLE -> Toggle(one, tap)
        Role.FIELD -> Field(one, type)
        Role.SLIDER -> Moved(one, type)
        Role.DRAWING -> Drawing(one)
        Role.CODE -> Box(Modifier.testTag(one.id).semantics { contentDescription = one.text }) { Code(one.value.orEmpty()) }
        Role.PHOTO -> Photo(one)
        Role.CELL -> Cell(one, tap)
        Role.KEY, Role.TAB -> Unit
    }
}

/** A text and what belongs to it, one stop for a screen reader. */
@Composable
private fun Lines(one: Element, style: TextStyle, modifier: Modifier) {
    Column(modifier.testTag(one.id).semantics(mergeDescendants = true) {}) { Inner(one, style) }
}

@Composable
private fun Inner(one: Element, style: TextStyle) {
    val design = Design.now
    // What is read aloud in groups is broken between them, and not within one.
    Words(if (one.varies) one.text.replace("-", "-\u200B") else one.text, style = style)
    one.value?.let { Words(it, style = design.heading) }
    one.state?.let { Words(it, style = design.label.copy(color = design.ink)) }
    one.detail?.let { Words(it, style = design.label) }
}

@Composable
private fun Number(one: Element) {
    val design = Design.now
    Column(Modifier.fillMaxWidth().testTag(one.id).semantics(mergeDescendants = true) {}.padding(vertical = Space.half)) {
        Words(one.text, style = design.label)
        BoxWithConstraints {
            // A word too wide for the phone is drawn smaller, and not broken.
            val measurer = rememberTextMeasurer()
            val words = one.value.orEmpty().split(' ')
            val sizes = generateSequence(design.number) { it.copy(fontSize = it.fontSize * SMALLER, lineHeight = it.lineHeight * SMALLER) }
            // A number and its unit stand on one line, as long as it is large beside its label.
            val large = sizes.takeWhile { it.fontSize.value >= 2 * design.label.fontSize.value }
            val whole = large.firstOrNull { measurer.measure(one.value.orEmpty(), it, softWrap = false).size.width <= constraints.maxWidth }
            val fits = whole ?: sizes.first { style ->
                style.fontSize <= design.label.fontSize || words.all { measurer.measure(it, style).size.width <= constraints.maxWidth }
            }
            Text(one.value.orEmpty(), style = fits)
        }
        val below = listOfNotNull(one.state, one.detail).joinToString(" · ")
        if (below.isNotEmpty()) Words(below, style = design.label)
    }
}

/** Brings it into sight once it is laid out, and again if something above it was laid out meanwhile. */
private suspend fun BringIntoViewRequester.bring() = repeat(2) {
    withFrameNanos { }
    bringIntoView()
}

/** What was refused, and what puts it aside: that stays in sight, however long the text and large its letters. */
@Composable
private fun Told(group: List<Element>, tap: (String) -> Unit) {
    val here = remember { BringIntoViewRequester() }
    val first = group.first()
    LaunchedEffect(first.text, LocalDensity.current.fontScale) { here.bring() }
    Column(
        Modifier.bringIntoViewRequester(here).heightIn(max = LocalWindowInfo.current.containerDpSize.height * TOLD_SHARE),
        Arrangement.spacedBy(Space.one),
    ) {
        Column(
            Modifier.weight(1f, fill = false).fillMaxWidth().heightIn(min = Space.finger).testTag(first.id).clip(RoundedCornerShape(Space.one))
                .background(Design.now.wash).semantics(mergeDescendants = true) {}.verticalScroll(rememberScrollState()).padding(horizontal = atItsSides(), vertical = Space.two),
        ) { Words(first.text, style = Design.now.heading) }
        group.drop(1).forEach { Button(it, tap) }
    }
}

/** What is left at the sides within a frame: long words want it where letters are large. */
@Composable
private fun atItsSides() = if (isCramped()) Space.one else Space.two

/** At most this part of the height is for what was refused; the rest of it is moved by a finger. */
private const val TOLD_SHARE = 0.5f

/** Letters that do not fit are tried so much smaller. */
private const val SMALLER = 0.9f

@Composable
private fun Banner(one: Element, tap: (String) -> Unit) {
    val design = Design.now
    val touched = if (one.touch) Modifier.clickable(role = Spoken.Button) { tap(one.id) } else Modifier
    val here = remember { BringIntoViewRequester() }
    LaunchedEffect(one.text, one.detail, LocalDensity.current.fontScale) { here.bring() }
    Column(
        Modifier.bringIntoViewRequester(here).fillMaxWidth().heightIn(min = Space.finger).testTag(one.id).clip(RoundedCornerShape(Space.one)).background(design.wash)
            .then(touched).semantics(mergeDescendants = true) {}.padding(horizontal = atItsSides(), vertical = Space.two),
    ) {
        Words(one.text, style = design.heading)
        one.detail?.let { Words(it, style = design.body) }
    }
}

@Composable
private fun Line(one: Element, tap: (String) -> Unit) {
    val design = Design.now
    val touched = if (one.touch) Modifier.clickable(role = Spoken.Button) { tap(one.id) } else Modifier
    val shape = RoundedCornerShape(Space.one)
    val framed = if (one.chosen) Modifier.clip(shape).border(BorderStroke(2.dp, design.act), shape) else Modifier
    Row(
        Modifier.fillMaxWidth().heightIn(min = Space.finger).testTag(one.id).then(framed).then(touched)
            .semantics(mergeDescendants = true) { if (one.chosen) selected = true }
            .padding(horizontal = if (one.chosen) Space.one else 0.dp, vertical = Space.one),
        verticalAlignment = Alignment.CenterVertically,
    ) {
        Column(Modifier.weight(1f)) { Inner(one, design.body) }
        if (one.touch) Icon("go", design.act)
    }
}

@Composable
private fun Button(one: Element, tap: (String) -> Unit) {
    val design = Design.now
    val shape = RoundedCornerShape(Space.one)
    val ground = if (one.main) Modifier.background(design.act, shape) else Modifier.border(BorderStroke(1.dp, design.line), shape)
    Column(
        Modifier.fillMaxWidth().heightIn(min = if (one.main) 56.dp else Space.finger).testTag(one.id).clip(shape).then(ground)
            .clickable(role = Spoken.Button) { tap(one.id) }.semantics(mergeDescendants = true) {}
            .padding(horizontal = Space.two, vertical = Space.one),
        Arrangement.Center, Alignment.CenterHorizontally,
    ) {
        val colour = if (one.main) design.onAct else design.act
        Words(one.text, style = design.heading.copy(color = colour), textAlign = TextAlign.Center)
        one.state?.let { Words(it, style = design.label.copy(color = colour)) }
    }
}

@Composable
private fun Choice(one: Element, tap: (String) -> Unit, modifier: Modifier = Modifier) {
    val design = Design.now
    val shape = RoundedCornerShape(Space.one)
    Row(
        modifier.heightIn(min = Space.finger).testTag(one.id).clip(shape)
            .border(BorderStroke(if (one.chosen) 2.dp else 1.dp, if (one.chosen) design.act else design.line), shape)
            .clickable(role = Spoken.RadioButton) { tap(one.id) }
            .semantics(mergeDescendants = true) {
                selected = one.chosen
                one.state?.let { stateDescription = it }
            }
            .padding(horizontal = atItsSides(), vertical = Space.one),
        verticalAlignment = Alignment.CenterVertically,
    ) {
        Column(Modifier.weight(1f, fill = false)) {
            Words(one.text, style = design.body)
            one.detail?.let { Words(it, style = design.label) }
            // That it is chosen, which its state says first, is seen by its mark.
            val more = if (one.chosen) one.state?.substringAfter(", ", "").orEmpty() else one.state.orEmpty()
            if (more.isNotEmpty()) Words(more, style = design.label.copy(color = design.ink))
        }
        if (one.chosen) Icon("chosen", design.act, Modifier.padding(start = Space.half))
    }
}

@Composable
private fun Toggle(one: Element, tap: (String) -> Unit) {
    Row(
        Modifier.fillMaxWidth().heightIn(min = Space.finger).testTag(one.id).clickable(role = Spoken.Switch) { tap(one.id) }
            .semantics(mergeDescendants = true) {
                toggleableState = if (one.chosen) ToggleableState.On else ToggleableState.Off
                one.state?.let { stateDescription = it }
            },
        Arrangement.spacedBy(Space.one), Alignment.CenterVertically,
    ) {
        Words(one.text, Modifier.weight(1f), style = Design.now.body)
        Switch(one.chosen, onCheckedChange = null)
    }
}

@Composable
private fun Field(one: Element, type: (String, String) -> Unit) {
    var text by remember(one.id) { mutableStateOf(one.value.orEmpty()) }
    var told by remember(one.id) { mutableStateOf(one.value.orEmpty()) }
    // What the model says counts where it says something else than was typed: after saving, for example.
    if (one.value.orEmpty() != told) {
        told = one.value.orEmpty()
        text = told
    }
    BoxWithConstraints {
        // The name of what was typed stands across the frame: where it has several lines, they need room above it.
        val small = MaterialTheme.typography.bodySmall
        val lines = rememberTextMeasurer().measure(one.text, small, constraints = Constraints(maxWidth = constraints.maxWidth - with(LocalDensity.current) { FRAME.roundToPx() })).size.height
        val above = with(LocalDensity.current) { (lines.toDp() - small.lineHeight.toDp()).coerceAtLeast(0.dp) }
        OutlinedTextField(
            text,
            {
                text = it
                told = it
                type(one.id, it)
            },
            Modifier.fillMaxWidth().padding(top = above).testTag(one.id),
            label = { Text(one.text) },
            textStyle = Design.now.body,
        )
    }
}

/** What the frame of a field takes at its sides. */
private val FRAME = 32.dp

@OptIn(ExperimentalMaterial3Api::class)
@Composable
private fun Moved(one: Element, type: (String, String) -> Unit) {
    val range = one.range ?: return
    val design = Design.now
    val touched = remember { MutableInteractionSource() }
    Column {
        Row(Modifier.fillMaxWidth()) {
            Words(one.text, Modifier.weight(1f), style = design.body)
            Words(one.value.orEmpty(), style = design.heading)
        }
        Slider(
            range.at.toFloat(),
            { type(one.id, ((it / range.step).roundToInt() * range.step).toString()) },
            Modifier.testTag(one.id).semantics {
                contentDescription = one.text
                stateDescription = one.value.orEmpty()
            },
            valueRange = range.from.toFloat()..range.to.toFloat(),
            interactionSource = touched,
            // The library's own thumb is 44 dp high, and with it what a screen reader frames.
            thumb = { SliderDefaults.Thumb(touched, thumbSize = DpSize(4.dp, 48.dp)) },
        )
    }
}

@Composable
private fun Drawing(one: Element) {
    val scene = one.scene ?: return
    if (one.value != null) return Dial(one, scene)
    BoxWithConstraints(
        Modifier.fillMaxWidth().testTag(one.id).semantics {
            contentDescription = listOf(one.text, one.detail.orEmpty()).joinToString(". ")
            role = Spoken.Image
        },
        Alignment.Center,
    ) {
        // Its letters grow with those around it, as far as something of it stays in sight.
        val larger = LocalDensity.current.fontScale.coerceIn(1f, LARGEST)
        // What is laid out for a phone is not drawn as large as a tablet.
        val room = minOf(maxWidth, MOST * scene.widthPt.toFloat())
        // The largest for which there is room.
        val fitted = listOf(larger, (1f + larger) / 2, 1f).distinct().map { lettered(scene, room, READABLE * it) }.firstOrNull { it.fits }
        if (fitted != null) {
            Drawn(scene, room, fitted, kept = moving.current)
        } else {
            // What has no room is drawn aside by a finger; above it all of it is seen, and which part that is.
            val readable = maxOf(room, READABLE * larger * scene.widthPt.toFloat())
            val aside = rememberScrollState()
            Column(horizontalAlignment = Alignment.CenterHorizontally) {
                if (readable > room) {
                    val share = room / readable
                    val from = (1 - share) * if (aside.maxValue in 1 until Int.MAX_VALUE) aside.value.toFloat() / aside.maxValue else 0f
                    Overview(scene, Part(from, from + share), Modifier.fillMaxWidth(WHOLE))
                }
                Box(Modifier.horizontalScroll(aside)) { Drawn(scene, readable) }
            }
        }
    }
}

/** What a dial shows, and beside it or below it what it says, in letters of the phone's size. */
@Composable
private fun Dial(one: Element, scene: Scene) {
    val design = Design.now
    val words = listOfNotNull(one.text, one.value, one.state, one.detail)
    val marked = Modifier.fillMaxWidth().testTag(one.id).semantics(mergeDescendants = true) {
        contentDescription = words.joinToString(". ")
        role = Spoken.Image
    }
    val drawn: @Composable () -> Unit = {
        val alone = remember(scene) { scene.withoutWordsBeside() }
        Drawn(alone, DIAL * LocalDensity.current.fontScale.coerceIn(1f, LARGE))
    }
    val turn: @Composable (TextStyle, Modifier) -> Unit = { style, there ->
        Column(there, Arrangement.spacedBy(Space.half)) {
            Words(one.value.orEmpty(), style = style.copy(color = design.act))
            Words(one.text, style = design.body)
            one.state?.let { Words(it, style = design.body) }
        }
    }
    val more: @Composable () -> Unit = { one.detail?.let { Words(it, style = design.label) } }
    val measurer = rememberTextMeasurer()
    BoxWithConstraints(marked) {
        val density = LocalDensity.current
        // Beside the dial where its longest word finds room there, if need be in smaller letters.
        val left = maxWidth - DIAL * density.fontScale.coerceIn(1f, LARGE) - Space.two
        val words = one.value.orEmpty().split(' ')
        val beside = listOf(design.title, design.heading).firstOrNull { style ->
            val longest = words.maxOf { measurer.measure(it, style).size.width }
            with(density) { longest.toDp() } <= left && left >= COLUMN * density.fontScale
        }
        if (beside != null) {
            // Sentences want longer lines than the turn and its screw.
            val short = left < SENTENCES * density.fontScale
            Column(verticalArrangement = Arrangement.spacedBy(Space.half)) {
                Row(horizontalArrangement = Arrangement.spacedBy(Space.two)) {
                    drawn()
                    Column(Modifier.weight(1f), Arrangement.spacedBy(Space.half)) {
                        turn(beside, Modifier)
                        if (!short) more()
                    }
                }
                if (short) more()
            }
        } else {
            Column(verticalArrangement = Arrangement.spacedBy(Space.half)) {
                drawn()
                turn(design.title, Modifier)
                more()
            }
        }
    }
}

/** So wide is a dial. */
private val DIAL = 128.dp

/** What is said beside it wants at least so much, for letters of the usual size, and sentences so much. */
private val COLUMN = 132.dp
private val SENTENCES = 220.dp

/** A point of a drawing is at most so large. */
private val MOST = 2.dp

/** So many times as large at most, where the phone's letters are larger. */
private const val LARGEST = 1.6f

/** So much of the width is for a drawing of all that is drawn larger below. */
private const val WHOLE = 0.45f

@Composable
private fun Cell(one: Element, tap: (String) -> Unit) {
    val design = Design.now
    Column(Modifier.widthIn(min = 96.dp).cell(one, tap)) {
        Words(one.text, style = design.label)
        Text(one.value.orEmpty().ifEmpty { " " }, style = design.key)
        one.detail?.let { Words(it, style = design.label) }
    }
}

/** A cell where there is little room: what was read before is said of it, and not drawn. */
@Composable
private fun SmallCell(one: Element, tap: (String) -> Unit, modifier: Modifier) {
    val design = Design.now
    Column(modifier.cell(one, tap).semantics { contentDescription = listOfNotNull(one.text, one.value, one.detail).filter { it.isNotEmpty() }.joinToString(", ") }) {
        Words(one.text, style = design.label)
        CompositionLocalProvider(LocalDensity provides lettersOfKeys()) {
            BoxWithConstraints {
                // A reading stays on its line, in smaller letters if need be.
                val measurer = rememberTextMeasurer()
                val sizes = generateSequence(design.key) { it.copy(fontSize = it.fontSize * SMALLER) }
                val letters = LocalDensity.current
                val fits = sizes.first { style ->
                    val wide = measurer.measure(one.value.orEmpty(), style, density = letters).size.width
                    style.fontSize <= design.label.fontSize || wide <= constraints.maxWidth
                }
                Text(one.value.orEmpty().ifEmpty { " " }, style = fits)
            }
        }
    }
}

/** What frames a cell and brings the one that is typed now into sight. */
@Composable
private fun Modifier.cell(one: Element, tap: (String) -> Unit): Modifier {
    val design = Design.now
    val shape = RoundedCornerShape(Space.one)
    val here = remember { BringIntoViewRequester() }
    val above = asked.current
    LaunchedEffect(one.chosen, one.value, above, read.current, LocalDensity.current.fontScale) { if (one.chosen && !above) here.bring() }
    return bringIntoViewRequester(here).heightIn(min = 64.dp).testTag(one.id).clip(shape)
        .border(BorderStroke(if (one.chosen) 3.dp else 1.dp, if (one.chosen) design.act else design.line), shape)
        .clickable { tap(one.id) }
        .semantics(mergeDescendants = true) {
            selected = one.chosen
            one.state?.let { stateDescription = it }
        }
        .padding(Space.one)
}

/**
 * How letters of keys and readings grow: they begin larger than text, and where there is little room they grow no
 * further than text does that is twice as large.
 */
@Composable
private fun lettersOfKeys(): Density {
    val phone = LocalDensity.current
    return if (isCramped() && phone.fontScale > KEY_LETTERS) Density(phone.density, KEY_LETTERS) else phone
}

/** See [lettersOfKeys]. */
private const val KEY_LETTERS = 1.55f

/** The keys and what belongs to them; the tool that they are for and what the hand came for stay in sight. */
@Composable
private fun Keys(tool: Element?, keys: List<Element>, after: List<Element>, tap: (String) -> Unit, modifier: Modifier) {
    val (main, others) = after.partition { it.main }
    // Digits stand as on every keypad; marks of a rule take as few rows as a finger meets.
    val across = if (keys.size > FEW_KEYS || isCramped() && keys.first().text != FIRST_DIGIT) 5 else 4
    CompositionLocalProvider(LocalDensity provides lettersOfKeys()) {
        // Where they have a side of their own, they stand where the thumb is.
        Column(modifier.background(Design.now.wash).padding(Space.one), Arrangement.Bottom) {
            tool?.let { InHand(it, tap) }
            Column(Modifier.weight(1f, fill = false).verticalScroll(rememberScrollState())) { KeysAndMore(keys, across, others, tap) }
            main.forEach { Button(it, tap) }
        }
    }
}

/** The tool in hand, in one line over its keys. */
@Composable
private fun InHand(one: Element, tap: (String) -> Unit) {
    val design = Design.now
    Row(
        Modifier.fillMaxWidth().heightIn(min = Space.finger).testTag(one.id).clickable(role = Spoken.Button) { tap(one.id) }
            .semantics(mergeDescendants = true) { contentDescription = listOfNotNull(one.text, one.value).joinToString(", ") }
            .padding(horizontal = Space.half),
        Arrangement.spacedBy(Space.one), Alignment.CenterVertically,
    ) {
        Words(one.value ?: one.text, Modifier.weight(1f), style = design.label.copy(color = design.ink))
        Icon("go", design.act)
    }
}

@OptIn(ExperimentalLayoutApi::class)
@Composable
private fun KeysAndMore(keys: List<Element>, across: Int, after: List<Element>, tap: (String) -> Unit) {
    val design = Design.now
    keys.chunked(across).forEach { row ->
        Row(Modifier.fillMaxWidth().padding(bottom = Space.half), Arrangement.spacedBy(Space.half)) {
            // The last key of a row that is not full takes the room of two.
            val wide = if (row.size < across) 2 else 1
            row.forEach { one ->
                Box(
                    Modifier.weight(if (one === row.last()) wide.toFloat() else 1f).heightIn(min = Space.finger).testTag(one.id).clip(RoundedCornerShape(Space.half))
                        .background(design.paper).clickable(role = Spoken.Button) { tap(one.id) }
                        .semantics(mergeDescendants = true) { contentDescription = one.detail ?: one.text },
                    Alignment.Center,
                ) { Words(one.text, style = design.key, maxLines = 1) }
            }
            repeat(across - row.size - wide + 1) { Box(Modifier.weight(1f).width(1.dp)) }
        }
    }
    groups(after).forEach {
        Group(it, tap) { _, _ -> }
        Box(Modifier.height(Space.half))
    }
}

/** Up to so many keys stand four beside each other, more five. */
private const val FEW_KEYS = 18

/** With this key begin those of digits, three in a row and a fourth beside them. */
private const val FIRST_DIGIT = "7"
