package fallaway.app.android

import android.content.Context
import fallaway.app.Playing
import fallaway.app.view.Shown

/** Screens that the scripted days do not come by, each with a name of its own. */
object States {
    /** What is seen of each; `day` is played to its end. */
    fun of(context: Context, day: Playing): List<Pair<String, Shown>> = buildList {
        add("locked" to closed(context.speaking(day.language), LOCKED.getValue(day.language)))
        val phone = day.phones.getValue("tech")
        while (phone.deeper) phone.tap("back")
        repeat(MANY) { phone.workshop.addInstrument("bass-4", "loan bass ${it + 1}").close() }
        phone.changed()
        fun seen(name: String) = add(name to Shown.of(phone))
        seen("many")
        phone.type("search", "no such")
        seen("none_found")
        phone.type("search", "loan bass $MANY")
        phone.tap("instrument.1")
        seen("no_numbers")
        for (tab in listOf("plan", "history")) {
            phone.tap("tab.$tab")
            seen("no_$tab")
        }
        phone.tap("draw")
        seen("not_drawn")
        for (page in listOf("changed", "clearance", "settle", "sheet", "strings", "people")) {
            phone.tap("tab.more")
            phone.tap(page)
            seen("no_$page")
            phone.tap("back")
        }
        phone.tap("setups")
        phone.type("name", "stage")
        phone.tap("add")
        phone.type("target.1", "a hair")
        phone.tap("save")
        seen("refused")
    }

    /** From so many on nothing is a list that can be looked through. */
    const val MANY = 300

    private val LOCKED = mapOf(
        "en" to "the device is locked; unlock it and try again",
        "de" to "das Gerät ist gesperrt; bitte entsperren und noch einmal versuchen",
    )
}
