package fallaway.app.android

import android.graphics.Bitmap
import androidx.activity.compose.setContent
import androidx.compose.runtime.getValue
import androidx.compose.runtime.mutableStateOf
import androidx.compose.runtime.setValue
import androidx.compose.ui.graphics.asAndroidBitmap
import androidx.compose.ui.focus.FocusDirection
import androidx.compose.ui.focus.FocusManager
import androidx.compose.ui.platform.LocalFocusManager
import androidx.compose.ui.semantics.SemanticsActions
import androidx.compose.ui.semantics.SemanticsNode
import androidx.compose.ui.semantics.SemanticsProperties
import androidx.compose.ui.semantics.getOrNull
import androidx.compose.ui.test.SemanticsMatcher
import androidx.compose.ui.test.captureToImage
import androidx.compose.ui.test.hasAnyAncestor
import androidx.compose.ui.test.hasScrollAction
import androidx.compose.ui.test.hasTestTag
import androidx.compose.ui.test.isFocused
import androidx.compose.ui.test.junit4.v2.createEmptyComposeRule
import androidx.compose.ui.test.onNodeWithTag
import androidx.compose.ui.test.onRoot
import androidx.compose.ui.test.performClick
import androidx.compose.ui.test.performScrollTo
import androidx.compose.ui.test.performScrollToNode
import androidx.compose.ui.test.performSemanticsAction
import androidx.compose.ui.test.performTextReplacement
import androidx.compose.ui.text.TextLayoutResult
import androidx.test.platform.app.InstrumentationRegistry
import fallaway.app.Count
import fallaway.app.Day
import fallaway.app.Look
import fallaway.app.Playing
import fallaway.app.Role
import fallaway.app.Say
import fallaway.app.Step
import fallaway.app.Texts
import fallaway.app.view.Designed
import fallaway.app.view.ScreenView
import fallaway.app.view.Shown
import kotlin.math.abs
import kotlin.math.pow
import org.junit.Assert.assertEquals
import org.junit.Assert.assertTrue
import org.junit.Rule
import org.junit.Test
import org.junit.runner.RunWith
import org.robolectric.RobolectricTestRunner
import org.robolectric.RuntimeEnvironment
import org.robolectric.annotation.Config
import org.robolectric.annotation.GraphicsMode

/** The scripted days on the real screens: whatever the view models say is drawn, and looked over. */
@RunWith(RobolectricTestRunner::class)
@GraphicsMode(GraphicsMode.Mode.NATIVE)
@Config(sdk = [34], qualifiers = "w360dp-h740dp-xxhdpi", application = TestApp::class)
class DayTest {
    @get:Rule val rule = createEmptyComposeRule()

    @Test
    fun theDaysByFinger() = play("en", byFinger = true)

    @Test
    @Config(qualifiers = "+de", fontScale = 2f)
    fun theDaysInGermanWithLargeText() = play("de")

    @Test
    @Config(qualifiers = "w320dp-h568dp-xhdpi")
    fun theDaysOnASmallPhoneWithLongerTexts() = play("de", longer = true)

    @Test
    @Config(qualifiers = "w320dp-h568dp-xhdpi", fontScale = 2f)
    fun theDaysOnASmallPhoneOnStageWithLargeText() = play("de", stage = true)

    @Test
    @Config(qualifiers = "w740dp-h360dp-land-xxhdpi")
    fun theDaysInLandscape() = play("en")

    @Test
    @Config(qualifiers = "w1000dp-h700dp-land-hdpi")
    fun theDaysOnATablet() = play("en")

    @Test
    @Config(qualifiers = "w360dp-h740dp-xhdpi")
    fun textsStandOutInLightDarkAndOnStage() = Screens("en").use { screens ->
        val wrong = mutableListOf<String>()
        for (step in Day.steps) {
            screens.playing.play(step)
            if (!step.look) continue
            screens.show(step.phone)
            for (theme in THEMES) {
                screens.theme = theme
                rule.waitForIdle()
                wrong += faint(if (theme == "stage") STAGE_CONTRAST else CONTRAST).map { "$theme ${step.phone} ${step.on}, ${screens.name}: $it" }
            }
        }
        for ((name, state) in States.of(RuntimeEnvironment.getApplication(), screens.playing)) {
            screens.shown = state
            for (theme in THEMES) {
                screens.theme = theme
                rule.waitForIdle()
                wrong += faint(if (theme == "stage") STAGE_CONTRAST else CONTRAST).map { "$theme $name: $it" }
            }
        }
        assertEquals(wrong.distinct().joinToString("\n"), 0, wrong.size)
    }

    /** A keyboard's Tab, or what a switch goes through. */
    @Test
    fun theFocusGoesThroughEveryScreenInTheOrderOfReading() = Screens("en", keyboard = true).use { screens ->
        val wrong = mutableListOf<String>()
        val walked = mutableSetOf<String>()
        fun walk() {
            rule.waitForIdle()
            val wanted = listOfNotNull("back".takeIf { screens.shown.deeper }) +
                screens.shown.elements.filter { it.touch || it.role in listOf(Role.FIELD, Role.SLIDER) }.map { it.id }
            val met = mutableListOf<String>()
            rule.runOnIdle { screens.focus.clearFocus(force = true) }
            while (met.size <= wanted.size) {
                rule.runOnIdle { screens.focus.moveFocus(FocusDirection.Next) }
                rule.waitForIdle()
                val here = rule.onAllNodes(isFocused()).fetchSemanticsNodes().firstOrNull()
                val tag = here?.config?.getOrNull(SemanticsProperties.TestTag) ?: "nothing that has a name"
                if (tag == met.firstOrNull()) break
                met += tag
            }
            // It goes round: where it begins is no matter.
            val at = met.indexOf(wanted.first()).coerceAtLeast(0)
            if (met.drop(at) + met.take(at) != wanted) wrong += "${screens.name}: $met\n    in the place of $wanted"
        }
        for (step in Day.steps) {
            screens.playing.play(step)
            if (!step.look || screens.playing.shown(step).screen.name in walked) continue
            screens.show(step.phone)
            walked += screens.name
            walk()
        }
        for ((name, state) in States.of(RuntimeEnvironment.getApplication(), screens.playing)) {
            if (state.elements.size >= States.MANY || state.screen in walked) continue
            walked += name
            screens.shown = state
            walk()
        }
        assertTrue("$walked", walked.size > 20)
        assertEquals(wrong.joinToString("\n"), 0, wrong.size)
    }

    private fun play(language: String, byFinger: Boolean = false, longer: Boolean = false, stage: Boolean = false) {
        Screens(language, longer).use { screens ->
            if (stage) screens.theme = "stage"
            val wrong = mutableListOf<String>()
            for (step in Day.steps) {
                if (byFinger) {
                    screens.show(step.phone)
                    screens.playing.play(step, ::finger)
                } else {
                    screens.playing.play(step)
                }
                if (!step.look) continue
                screens.show(step.phone)
                wrong += screens.faults().map { "${step.phone} ${step.on}, ${screens.name}: $it" }
            }
            for ((name, state) in States.of(RuntimeEnvironment.getApplication(), screens.playing)) {
                screens.shown = state
                wrong += screens.faults().map { "$name: $it" }
            }
            assertEquals(wrong.distinct().joinToString("\n"), 0, wrong.size)
        }
    }

    /** Does a step on what is drawn. */
    private fun finger(step: Step) {
        val tag = hasTestTag(step.on)
        if (rule.onAllNodes(tag).fetchSemanticsNodes().isEmpty()) rule.onNode(hasScrollAction()).performScrollToNode(tag)
        val node = rule.onNodeWithTag(step.on)
        if (rule.onAllNodes(tag.and(hasAnyAncestor(hasScrollAction()))).fetchSemanticsNodes().isNotEmpty()) node.performScrollTo()
        when {
            step.does == "tap" -> node.performClick()
            SemanticsActions.SetProgress in node.fetchSemanticsNode().config ->
                node.performSemanticsAction(SemanticsActions.SetProgress) { it(step.with.toFloat()) }
            else -> node.performTextReplacement(step.with)
        }
        rule.waitForIdle()
    }

    private fun nodes(): List<SemanticsNode> = rule.onAllNodes(SemanticsMatcher("any") { true }, useUnmergedTree = true).fetchSemanticsNodes()

    /** What every screen must hold to, of the screen that is seen. */
    private fun Screens.faults(): List<String> = buildList {
        rule.waitForIdle()
        val wanted = shown.elements
        val nodes = nodes()
        val tags = nodes.mapNotNull { it.config.getOrNull(SemanticsProperties.TestTag) }
        // A long list is composed as far as it is in sight.
        val whole = wanted.size < States.MANY
        for (one in wanted) if (tags.count { it == one.id } != 1 && (whole || one.id in tags)) add("${one.id} is there ${tags.count { it == one.id }} times")
        // Tabs stand at the edge, before or after.
        val reading = wanted.filter { it.role != Role.TAB }.map { it.id }.filter { whole || it in tags }
        val order = tags.filter { it in reading }
        if (order != reading) {
            val at = order.zip(reading).indexOfFirst { (is_, should) -> is_ != should }
            add("read in another order: ${order.getOrNull(at)} in the place of ${reading.getOrNull(at)}")
        }
        for (one in wanted) {
            val node = nodes.firstOrNull { it.config.getOrNull(SemanticsProperties.TestTag) == one.id } ?: continue
            val does = when {
                one.role == Role.FIELD -> SemanticsActions.SetText
                one.role == Role.SLIDER -> SemanticsActions.SetProgress
                one.touch -> SemanticsActions.OnClick
                else -> continue
            }
            for (action in listOf(does, SemanticsActions.RequestFocus)) if (action !in node.config) add("${one.id} has no ${action.name}")
        }
        val root = nodes.first().boundsInRoot
        wanted.lastOrNull { it.role != Role.TAB }?.takeIf { it.main }?.let { last ->
            val there = nodes.single { it.config.getOrNull(SemanticsProperties.TestTag) == last.id }.boundsInRoot
            if (there.height < 1f || there.bottom > root.bottom) add("${last.id} is out of reach")
        }
        // A title of several lines keeps off the edge, and the second row of tabs stands under the first.
        val dp = nodes.first().layoutInfo.density.density
        val scrolled = nodes.any { (it.config.getOrNull(SemanticsProperties.VerticalScrollAxisRange)?.value?.invoke() ?: 0f) > 0f }
        val title = nodes.singleOrNull { it.config.getOrNull(SemanticsProperties.TestTag) == "title" }
        if (title != null && !scrolled && title.boundsInRoot.top < EDGE_DP * dp - 1) add("the title stands at the edge")
        val tabbed = nodes.filter { it.config.getOrNull(SemanticsProperties.TestTag).orEmpty().startsWith("tab.") }.map { it.boundsInRoot }
        val columns = tabbed.filter { it.top == tabbed.first().top }.map { it.left }
        for (tab in tabbed) if (columns.none { abs(it - tab.left) <= 1 }) add("a tab stands under no other: $tab")
        // Whatever was refused, what puts it aside is in sight.
        if (wanted.any { it.id == "problem.close" }) {
            val there = nodes.single { it.config.getOrNull(SemanticsProperties.TestTag) == "problem.close" }
            if (there.boundsInRoot.height < there.size.height - 1) add("problem.close is out of reach")
        }
        addAll(keysFaults(nodes))
        addAll(labelFaults(nodes))
        // What a dial says is read in letters of the phone's size.
        val said = nodes.map { it.words().replace('\u00A0', ' ') }
        for (one in wanted.filter { it.role == Role.DRAWING && it.value != null }) {
            for (text in listOfNotNull(one.text, one.value, one.state, one.detail)) if (text !in said) add("\"$text\" of ${one.id} is not written")
        }
        val density = nodes.first().layoutInfo.density.density
        for (node in nodes) {
            val tag = node.config.getOrNull(SemanticsProperties.TestTag) ?: continue
            if (node.size.width > node.boundsInRoot.width + 1 && node.boundsInRoot.height > 0) add("$tag is cut off at its side")
            if (node.config.getOrNull(SemanticsActions.OnClick) == null || node.boundsInRoot.height == 0f) continue
            val (wide, high) = node.touchBoundsInRoot.run { width / density to height / density }
            // What is scrolled away in part is met when it is scrolled to.
            val seen = node.boundsInRoot.height >= node.size.height - 1
            if (wide < FINGER_DP - 1 || seen && high < FINGER_DP - 1) add("$tag is too small for a finger: $wide x $high dp")
            if (node.size.width / density < FINGER_DP - 1) add("$tag is drawn ${node.size.width / density} dp wide")
        }
        val texts = nodes.filter { it.config.contains(SemanticsActions.GetTextLayoutResult) && it.boundsInRoot.height > 0 }
        val numbers = wanted.filter { it.role == Role.NUMBER }.mapNotNull { it.value }
        for (node in texts) {
            val results = mutableListOf<TextLayoutResult>()
            node.config.getOrNull(SemanticsActions.GetTextLayoutResult)?.action?.invoke(results)
            for (laid in results) {
                val text = laid.layoutInput.text.text
                val over = laid.didOverflowHeight || (0 until laid.lineCount).any { laid.isLineEllipsized(it) || laid.getLineRight(it) - laid.getLineLeft(it) > laid.size.width + 1 }
                if (over && text.isNotBlank()) add("\"$text\" does not fit")
                if (brokenWord(laid, text)) add("\"$text\" is broken within a word")
                if (laid.lineCount > 1 && text.length <= NUMBER_LONG && text in numbers) add("\"$text\" is a number on two lines")
                if (brokenNumber(laid, text)) add("\"$text\" is broken between a number and what it belongs to")
            }
        }
        texts.forEachIndexed { at, one ->
            for (other in texts.drop(at + 1)) {
                val both = one.boundsInRoot.intersect(other.boundsInRoot)
                if (both.width > 1 && both.height > 1 && !one.isEditable() && !other.isEditable()) add("${one.words()} lies on ${other.words()}")
            }
        }
    }

    /** Whoever holds a gauge in the other hand sees at once the tool, every key, and the places of the pass around the one typed now. */
    private fun Screens.keysFaults(nodes: List<SemanticsNode>): List<String> = buildList {
        val keys = shown.elements.filter { it.role == Role.KEY }
        val root = nodes.first().boundsInRoot
        // Where a phone lies they are scrolled, on a side of their own.
        if (keys.isEmpty() || root.width > root.height) return@buildList
        fun whole(id: String) = nodes.single { it.config.getOrNull(SemanticsProperties.TestTag) == id }
            .run { boundsInRoot.height >= size.height - 1 && size.height > 0 }
        for (one in keys.map { it.id } + "tool") if (!whole(one)) add("$one is out of sight")
        val cells = shown.elements.filter { it.role == Role.CELL }
        // What is said or asked is in sight first.
        if (shown.elements.any { it.role == Role.BANNER }) return@buildList
        cells.filter { it.chosen && !whole(it.id) }.forEach { add("${it.id} is out of sight") }
        val large = RuntimeEnvironment.getFontScale() > 1f
        val least = if (!large || cells.size == 1 || cells.last().chosen) 1 else 2
        val seen = cells.count { whole(it.id) }
        if (seen < least) add("$seen of ${cells.size} cells are in sight")
    }

    /** On a small phone with the largest letters, with either kind of keys and all that is typed. */
    @Test
    @Config(qualifiers = "w320dp-h568dp-xhdpi", fontScale = 2f)
    fun aPassIsInSightOnASmallPhoneWithLargeText() {
        for (language in listOf("en", "de")) Screens(language).use { screens ->
            screens.theme = "stage"
            Day.steps.takeWhile { it.on != "tab.plan" }.forEach { screens.playing.play(it) }
            val phone = screens.playing.phones.getValue("tech")
            while (phone.deeper) phone.tap("back")
            val wrong = mutableListOf<String>()
            fun seen(vararg ids: String) = ids.forEach { id ->
                assertTrue("$id: ${phone.elements().map { it.id }}", phone.elements().any { it.id == id && it.touch })
                phone.tap(id)
                screens.show("tech")
                wrong += screens.faults().map { "$language $id: $it" }
            }
            seen("instrument.1", "tab.read", "quantity.2", "tool", "tool.1", "key.5", "key.half", "key.16", "cell.5", "key.6")
            seen("tool", "tool.5", "cell.4", "key.1", "key.point", "key.9", "key.5", "key.next")
            // What was read stands first; below it the other things to read.
            seen("quantity.1", "key.minus", "key.0", "others")
            val strings = phone.elements().filter { it.id.startsWith("other.") }.map { it.id }
            seen(strings.last())
            phone.elements().firstOrNull { it.id.startsWith("tool.") }?.let { seen(it.id) }
            seen("cell.2", "key.minus", "key.3")
            assertEquals(wrong.distinct().joinToString("\n"), 0, wrong.size)
        }
    }

    /** The name of a field floats over its frame: it lies on nothing else that a finger meets. */
    private fun labelFaults(nodes: List<SemanticsNode>): List<String> {
        val touched = nodes.filter { SemanticsActions.OnClick in it.config && SemanticsProperties.EditableText !in it.config }
        val names = nodes.filter { SemanticsActions.GetTextLayoutResult in it.config && SemanticsProperties.EditableText !in it.config && it.isEditable() }
        return names.flatMap { name ->
            touched.filter { one -> one.boundsInRoot.intersect(name.boundsInRoot).run { width > 1 && height > 1 } }
                .map { "${name.words()} lies on ${it.config.getOrNull(SemanticsProperties.TestTag)}" }
        }
    }

    /** The name of a field floats over its frame. */
    private fun SemanticsNode.isEditable(): Boolean =
        config.contains(SemanticsProperties.EditableText) || parent?.let { it.config.contains(SemanticsProperties.EditableText) } == true

    private fun SemanticsNode.words() = config.getOrNull(SemanticsProperties.Text)?.joinToString { it.text }.orEmpty()

    /** A line that ends within a word: there was no room for it. */
    private fun brokenWord(laid: TextLayoutResult, text: String): Boolean = (0 until laid.lineCount - 1).any {
        val end = laid.getLineEnd(it)
        end in 1 until text.length && text[end - 1].isLetterOrDigit() && text[end].isLetterOrDigit()
    }

    /** A line that ends between a number and its unit, of more than that number alone, or between a fret or a string and its number. */
    private fun brokenNumber(laid: TextLayoutResult, text: String): Boolean = (0 until laid.lineCount - 1).any {
        val (before, after) = laid.getLineEnd(it).let { end -> text.take(end).trimEnd() to text.drop(end).trimStart() }
        val parted = before.lastOrNull()?.isDigit() == true && UNIT.containsMatchIn(after) ||
            NUMBERED.containsMatchIn(before) && after.firstOrNull()?.isDigit() == true || ORDINAL.containsMatchIn(before) && after.startsWith("Bund")
        ' ' in text.replaceFirst(' ', '_') && parted
    }

    /** Texts whose letters do not stand out from their ground (WCAG 2.2, 1.4.3, the ratio by its definition). */
    private fun faint(least: Double): List<String> {
        val picture = rule.onRoot().captureToImage().asAndroidBitmap().copy(Bitmap.Config.ARGB_8888, false)
        val pixels = IntArray(picture.width * picture.height)
        picture.getPixels(pixels, 0, picture.width, 0, 0, picture.width, picture.height)
        return nodes().filter { it.config.contains(SemanticsActions.GetTextLayoutResult) && it.words().isNotBlank() }.mapNotNull { node ->
            val there = node.boundsInRoot
            val whole = there.height >= node.size.height - 1 && there.bottom <= picture.height && there.right <= picture.width
            if (!whole) return@mapNotNull null
            var darkest = 1.0
            var lightest = 0.0
            for (y in there.top.toInt() until there.bottom.toInt()) for (x in there.left.toInt() until there.right.toInt()) {
                val light = light(pixels[y * picture.width + x])
                darkest = minOf(darkest, light)
                lightest = maxOf(lightest, light)
            }
            val contrast = (lightest + 0.05) / (darkest + 0.05)
            if (contrast >= least) null else "\"${node.words()}\" has a contrast of %.1f".format(contrast)
        }
    }

    private fun light(colour: Int): Double {
        fun part(shift: Int): Double {
            val c = (colour shr shift and 0xFF) / 255.0
            return if (c <= 0.04045) c / 12.92 else ((c + 0.055) / 1.055).pow(2.4)
        }
        return 0.2126 * part(16) + 0.7152 * part(8) + 0.0722 * part(0)
    }

    /** The app's texts, each longer by a third, as other languages may be. */
    private class Longer(private val texts: Texts) : Texts {
        private fun longer(text: String) = if (text.length < 4) text else text + " " + text.take((text.length + 2) / 3).trim()

        override fun text(say: Say, with: List<Any>) =
            texts.text(say, with).let { if (say == Say.DATE || say == Say.DECIMAL_MARK) it else longer(it) }

        override fun count(say: Count, number: Int) = longer(texts.count(say, number))
    }

    private inner class Screens(language: String, longer: Boolean = false, keyboard: Boolean = false) : AutoCloseable {
        private val texts: Texts = AndroidTexts(RuntimeEnvironment.getApplication(), language).let { if (longer) Longer(it) else it }
        val playing = Playing(language, texts)
        var shown by mutableStateOf(Shown("", emptyList(), false, Look()))
        var theme by mutableStateOf("")
        lateinit var focus: FocusManager
        val name get() = shown.screen
        private var whose = ""
        private val scenario = InstrumentationRegistry.getInstrumentation().setInTouchMode(!keyboard).let { emptyActivity() }

        init {
            scenario.onActivity { activity ->
                activity.setContent {
                    focus = LocalFocusManager.current
                    val stage = if (theme.isEmpty()) shown.look.stage else theme == "stage"
                    Designed(Look(stage), theme == "dark") {
                        ScreenView(
                            shown,
                            { id -> playing.phones.getValue(whose).tap(id).also { show(whose) } },
                            { id, text -> playing.phones.getValue(whose).type(id, text).also { show(whose) } },
                        )
                    }
                }
            }
        }

        fun show(whose: String) {
            this.whose = whose
            shown = Shown.of(playing.phones.getValue(whose))
        }

        override fun close() {
            scenario.close()
            playing.close()
        }
    }

    private companion object {
        val THEMES = listOf("light", "dark", "stage")
        val UNIT = Regex("^(mm|in|Zoll|thou|Hz|N|%)(?!\\p{L})")
        val NUMBERED = Regex("(?<!\\p{L})(fret|string|saddle|Saite|Reiter)$", RegexOption.IGNORE_CASE)
        val ORDINAL = Regex("[0-9]\\.$")
        const val FINGER_DP = 48f
        const val EDGE_DP = 4f
        const val NUMBER_LONG = 14
        const val CONTRAST = 4.5
        const val STAGE_CONTRAST = 7.0
    }
}
